"""What changed since yesterday, in sentences."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.season.plans.plan_changes import ChangeKind, PlanChange
from ripenroom.window.session import Session
from ripenroom.wording.names import begun, fruit_name
from ripenroom.wording.plan.itineraries import change_words


@pytest.fixture
def change(session: Session) -> PlanChange:
    season = session.season
    days = sorted(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    places = sorted(season.book.places.values(), key=lambda p: p.name)
    batch = next(b for b in season.book.batches.values() if b.code == "P-0930-1")
    tonight = season.now().replace(hour=18)
    return PlanChange(
        ChangeKind.LATER,
        batch.id,
        2,
        market_day_id_before=days[0].id,
        market_day_id_after=days[1].id,
        pull_at_before=tonight,
        pull_at_after=tonight + timedelta(days=1),
        place_id_before=places[0].id,
        place_id_after=places[1].id,
    )


@pytest.mark.parametrize("kind", list(ChangeKind))
def test_every_kind_is_a_sentence(session: Session, change: PlanChange, kind: ChangeKind) -> None:
    for one in (change, replace(change, pull_at_after=None, place_id_after=None)):
        said = change_words(replace(one, kind=kind), session)
        assert said.startswith("Pawpaws, slight give, 2 crates of P-0930-1")
        assert said.endswith(".")
        for broken in ("{", "}", "None", "  ", ",,", ": ."):
            assert broken not in said


def test_a_later_move_tells_both_days(session: Session, change: PlanChange) -> None:
    said = change_words(change, session)
    assert "moved later, tomorrow instead of today" in said


def test_another_market_tells_both(session: Session, change: PlanChange) -> None:
    said = change_words(replace(change, kind=ChangeKind.OTHER_MARKET), session)
    assert "tomorrow, for Orchard gate, Sun 4 Oct. Before: " in said
    assert "for Quayside market, Sat 3 Oct." in said


def test_batches_that_are_gone_and_picks_that_are_expected(
    session: Session, change: PlanChange
) -> None:
    gone = replace(change, kind=ChangeKind.GONE, batch_id="no such batch")
    assert change_words(gone, session).startswith("2 crates of a batch that is gone")
    pick = next(iter(session.season.book.expected_picks.values()))
    of = begun(fruit_name(session.season.crops, pick.crop))
    expected = replace(change, batch_id="", expected_pick_id=pick.id, second_grade=True)
    assert change_words(
        replace(expected, kind=ChangeKind.NEW_BATCH, market_day_id_after=None), session
    ).startswith(f"{of}, 2 crates of the pick expected {session.words.day(pick.on)}, new: ")
