"""It is said that market days are missing, and what is kept for those that come later."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.window.plan.page import Overview
from ripenroom.window.session import Session
from ripenroom.wording.plan.expected_picks import (
    in_sight_words,
    kept_words,
    likely_ahead,
    likely_line,
    likely_words,
    reckoned_words,
)
from ripenroom.wording.today.page import day_page
from tests.window.planned import planned


def only_the_next(session: Session) -> None:
    """Take away all market days ahead but the first."""
    season = session.season
    ahead = [day for day in season.book.market_days.values() if day.starts_at > season.now()]
    for day in sorted(ahead, key=lambda day: day.starts_at)[1:]:
        season.do(actions.ahead.delete_market_day, day.id)


def wanting_few(session: Session) -> None:
    """Let every market day ahead want eight of each at most, so that something is left over."""
    season = session.season
    for day in [day for day in season.book.market_days.values() if day.starts_at > season.now()]:
        wants = [want for want in season.book.wants.values() if want.market_day_id == day.id]
        few = [replace(want, count=min(want.count, 8)) for want in wants]
        season.do(actions.ahead.save_market_day, day, few)


def unwalked(session: Session) -> None:
    """Take away all walks: rows that nobody walked make no pick likely."""
    for walk_id in list(session.season.book.walks):
        session.season.do(actions.orchard.delete_walk, walk_id)


def test_with_some_market_days_ahead_nothing_is_said(qtbot: QtBot, session: Session) -> None:
    planned(qtbot, session)
    assert in_sight_words(session) == ""


@pytest.mark.usefixtures("few_batches")
def test_with_one_market_day_ahead_it_is_said_on_plan_and_today(
    qtbot: QtBot, session: Session
) -> None:
    unwalked(session)
    only_the_next(session)
    wanting_few(session)
    plan = planned(qtbot, session)
    said = in_sight_words(session)
    assert said.startswith("No market day after ")
    assert said.endswith(": the plan keeps what will still be good for a later one.")
    assert plan.outcome.kept > 1.0
    count = session.words.number(plan.outcome.kept)
    kept = kept_words(session)
    assert kept == f"Kept for later: about {count} fruit, not counted in what is sold."
    assert session.season.ask.keeps_any(plan, ["pawpaw"])
    overview = Overview(session)
    qtbot.addWidget(overview)
    overview.refresh()
    assert overview.later.text().startswith(f"{said} {kept} Likely to come: ")
    lines = tuple(line for line in plan.lines if not line.kept)
    session.plans.plan = replace(plan, lines=lines)
    said_of_none = in_sight_words(session)
    assert "keeps" not in said_of_none
    assert said_of_none.endswith(". If there is one, enter it on Market days.")
    session.plans.plan = plan
    items = [item for group in day_page(session).groups for item in group.items]
    assert [(item.reason, item.link) for item in items if item.headline == said] == [
        (kept, "market:")
    ]


def test_which_picks_are_likely_is_said_on_plan_and_today(qtbot: QtBot, session: Session) -> None:
    unwalked(session)
    for pick in list(session.season.book.expected_picks.values()):
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    planned(qtbot, session)
    likely = likely_words(session)
    said = reckoned_words(session)
    assert said.startswith(f"Likely to come: {'; '.join(likely)}. ")
    crops = session.season.ask.likely_crops()
    assert [crop.crop for crop in crops] == ["avocado", "pawpaw", "pear"]
    for crop, text in zip(crops, likely, strict=True):
        low, mid, high = (session.words.number(count) for count in crop.count)
        first, last = session.words.day(crop.first), session.words.day(crop.last)
        more = f"about {mid} more {crop.crop}s ({low}–{high})"
        on = f"on {first}" if crop.first == crop.last else f"from {first} to {last}"
        assert not crop.by_rows
        assert crop.pick_days > 1
        assert text == f"{more} {on}, going by your last {crop.pick_days} picking days"
    overview = Overview(session)
    qtbot.addWidget(overview)
    overview.refresh()
    assert said in overview.later.text()
    (group,) = (group for group in day_page(session).groups if "Likely" in group.title)
    assert not group.to_do
    assert group.title == "Likely to come"
    assert [(item.headline, item.link) for item in group.items] == [
        (f"A{text[1:]}", "expected:") for text in likely
    ]


@pytest.mark.long
def test_cultivars_that_were_not_picked_yet_are_named(qtbot: QtBot, session: Session) -> None:
    unwalked(session)
    for pick in list(session.season.book.expected_picks.values()):
        session.season.do(actions.ahead.delete_expected_pick, pick.id)
    for name in ("Harbor", "Quay", "Ridge", "Wharf"):
        late = Cultivar(id=name, crop="pawpaw", name=name, group="late")
        session.season.do(actions.orchard.save_cultivar, late)
    planned(qtbot, session)
    (said,) = (text for text in likely_words(session) if "pawpaw" in text)
    assert said.endswith(" (counting in Harbor, Quay, Ridge and 1 more, not picked yet)")
    line = next(one for one in likely_ahead(session) if one.not_begun)
    assert "(counting in Harbor, " in likely_line(line, session)
