"""What is said of fruit that waits for its cold, and of places too warm for it."""

from dataclasses import replace

import pytest

from ripenroom.records.entry import PickEntry
from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.notices import Notice, NoticeKind
from ripenroom.window.session import Session
from ripenroom.wording.today.notices import headline, link, reason
from ripenroom.wording.today.page import day_page
from tests.records.crop.made import WINTER


@pytest.fixture
def told(session: Session) -> dict[NoticeKind, Notice]:
    """Notices of 24 winter pears on a porch at 30 C."""
    season = session.season
    season.do(actions.crops.save, WINTER)
    porch = Place(id="porch", name="Porch", kind="counter", half_cooling_h=3.0)
    season.do(actions.places.save, porch, 30.0)
    pick = PickEntry(crop="winter", place_id="porch", picked_at=season.now(), count=24)
    season.do(actions.picks.add, pick)
    return {n.kind: n for n in season.notices() if "porch" in (n.place_id, _where(session, n))}


def _where(session: Session, notice: Notice) -> str | None:
    place = session.season.place_of(notice.batch_id) if notice.batch_id else None
    return place.id if place else None


def test_a_batch_that_never_gets_its_cold(session: Session, told: dict[NoticeKind, Notice]) -> None:
    gate = told[NoticeKind.GATE]
    assert headline(gate, session) == "Waits for cold: 24 Winter pears, X-1001-1"
    assert reason(gate, session) == (
        "Porch; it never gets it here: 0 % done, 10 more days at 10 °C needed, or 48 h of ethylene"
    )
    assert link(gate) == f"batch:{gate.batch_id}"


def test_a_place_that_is_too_warm(session: Session, told: dict[NoticeKind, Notice]) -> None:
    heat = told[NoticeKind.HEAT]
    assert headline(heat, session) == "Too warm for Winter pears: Porch"
    why = reason(heat, session)
    assert why.startswith("24 fruit there; up to 30 °C")
    assert link(heat) == "place:porch"


def test_in_the_seasons_own_unit(session: Session, told: dict[NoticeKind, Notice]) -> None:
    session.season.do(actions.season.save, replace(session.season.book.season, units="us"))
    assert "up to 86 °F" in reason(told[NoticeKind.HEAT], session)
    assert "10 more days at 50 °F" in reason(told[NoticeKind.GATE], session)


def test_without_its_numbers_nothing_is_made_up(session: Session) -> None:
    assert reason(Notice(NoticeKind.HEAT, place_id="gone", crop="pear"), session) == ""
    gone = Notice(NoticeKind.GATE, "gone")
    assert headline(gone, session).strip() == "Waits for :"
    assert reason(gone, session) == ""


def test_both_are_to_be_done_today(session: Session, told: dict[NoticeKind, Notice]) -> None:
    today = next(group for group in day_page(session).groups if group.to_do)
    said = [item.headline for item in today.items]
    for notice in told.values():
        assert headline(notice, session) in said
