"""How often pages are brought up to date: what a change touches, once, and only in front."""

from collections import Counter
from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.book import new_id
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.orchard import Walk
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.page import Page
from ripenroom.window.picks.batch_list import BatchList
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.picks.page import ExpectedLine, PicksPage
from ripenroom.window.queue.page import QueueStrip
from ripenroom.window.session import Session
from ripenroom.window.shell.page_stack import PAGES, PageStack
from tests.draws import first_every_day


def _pick(season: Season) -> None:
    now, place_id = season.now(), next(iter(season.book.places))
    season.do(
        actions.picks.add,
        PickEntry(
            crop="pawpaw",
            place_id=place_id,
            picked_at=now - timedelta(hours=1),
            feel_counts=(3, 9, 6, 2, 0),
        ),
    )


def _waiting(season: Season) -> str:
    """A batch that is there, and goes nowhere so far."""
    projection = season.projection()
    there = zip(projection.batch_ids, projection.left.tolist(), strict=True)
    return next(
        batch_id
        for batch_id, left in there
        if left > 20
        and season.book.batches[batch_id].crop == "pawpaw"
        and season.moves_of(batch_id)[-1].at < season.now() - timedelta(minutes=5)
    )


def _move(season: Season) -> None:
    batch_id = _waiting(season)
    here = season.place_of(batch_id)
    other = next(key for key in season.book.places if here is not None and key != here.id)
    season.do(actions.moves.move, [batch_id], other, season.now() - timedelta(minutes=5))


def _check(season: Season) -> None:
    season.do(
        actions.checks.add,
        CheckEntry(
            batch_id=_waiting(season),
            at=season.now(),
            feel_counts=(0, 2, 5, 2, 0),
            answered=frozenset({"surprise"}),
        ),
    )


def _set_point(season: Season) -> None:
    place = next(p for p in season.book.places.values() if p.kind == "cold room")
    season.do(actions.places.set_set_point, place.id, 3.5)


def _walk(season: Season) -> None:
    row_id, at = next(iter(season.book.rows)), season.now() - timedelta(hours=1)
    walk = Walk(id=new_id(), row_id=row_id, at=at, feel_counts=(5, 4, 1, 0, 0))
    season.do(actions.orchard.add_walk, walk)


def _weather(season: Season) -> None:
    """A cool day, which the field bins follow."""
    assert any(place.weather_lag_h is not None for place in season.book.places.values())
    day = actions.weather.day_weather(season.state.today, 1.0, 9.0)
    season.do(actions.weather.save_day, day)


CHANGES: dict[str, Callable[[Season], None]] = {
    "pick": _pick,
    "move": _move,
    "check": _check,
    "set point": _set_point,
    "walk": _walk,
    "weather": _weather,
    "learned": lambda season: season.take_in(season.learned),
}


@pytest.fixture
def refreshed(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each page, and each part of one that has its own, was refreshed."""
    counts = Counter[str]()

    def counted(kind: type[QWidget]) -> None:
        refresh = vars(kind)["refresh"]

        def count(self: QWidget) -> None:
            counts[kind.__name__] += 1
            refresh(self)

        monkeypatch.setattr(kind, "refresh", count)

    for kind in (PickForm, ExpectedLine, BatchList, QueueStrip):
        counted(kind)
    of_page = Page.__init__

    def made(page: Page, session: Session) -> None:
        of_page(page, session)
        if type(page) not in seen:
            seen.add(type(page))
            counted(type(page))

    seen = set[type[Page]]()
    monkeypatch.setattr(Page, "__init__", made)
    return counts


@pytest.fixture
def desk(qtbot: QtBot, session: Session, refreshed: Counter[str]) -> PageStack:
    """All pages, each shown once; nothing goes on beside the window."""
    made = PageStack(session)
    session.plans.begin = lambda: None  # type: ignore[method-assign]
    session.learning.begin = lambda: None  # type: ignore[method-assign]
    qtbot.addWidget(made)
    made.resize(1200, 800)
    made.show()
    for name in PAGES:
        made.go_to(name)
    return made


EACH = dict.fromkeys(CHANGES, 1)
NONE = dict.fromkeys(EACH, 0)
FRUIT = EACH | {"learned": 0}
PICKED = EACH | {"walk": 0}
OFFERED = NONE | {"set point": 1, "weather": 1}

EXPECTED: dict[str, dict[str, dict[str, int]]] = {
    "today": {"TodayPage": EACH},
    # A pick may be the one that was expected, and walks and weather tell what is likely; in the
    # form places can be chosen, but no batches.
    "picks": {"BatchList": PICKED, "ExpectedLine": FRUIT, "PickForm": OFFERED, "PicksPage": NONE},
    "queue": {"QueuePage": PICKED},
    # There is no plan yet that speaks of the batch; places may have other names.
    "plan": {"PlanPage": OFFERED},
    "market_days": {"MarketDaysPage": PICKED},
    "review": {"ReviewPage": PICKED | {"set point": 0, "weather": 0}},
    # A pick is off the trees; what was sold of a row is told there too.
    "rows": {"RowsPage": FRUIT},
    "places": {"PlacesPage": PICKED, "QueueStrip": PICKED},
    "crops": {"CropsPage": NONE},
}
"""How often what is on a page is refreshed after one change of each kind."""


@pytest.mark.long
@pytest.mark.usefixtures("some_batches")
def test_a_page_in_front_is_refreshed_once_where_it_is_touched(
    desk: PageStack, refreshed: Counter[str]
) -> None:
    season = desk.session.season
    assert EXPECTED.keys() == PAGES.keys(), "what refreshes a new page belongs there too"
    for name, expected in EXPECTED.items():
        desk.go_to(name)
        for change, make in CHANGES.items():
            refreshed.clear()
            make(season)
            counted = {kind: refreshed[kind] for kind in expected}
            wanted = {kind: times[change] for kind, times in expected.items()}
            assert counted == wanted, f"{change} on {name}"
            assert set(+refreshed) <= set(expected), "hidden pages wait"
        while season.undo():
            pass


@pytest.mark.usefixtures("some_batches")
def test_a_hidden_page_catches_up_once_when_it_is_shown(
    desk: PageStack, refreshed: Counter[str]
) -> None:
    desk.go_to("crops")
    refreshed.clear()
    for make in CHANGES.values():
        make(desk.session.season)
    assert not +refreshed
    desk.go_to("queue")
    desk.go_to("today")
    desk.go_to("queue")
    desk.go_to("crops")
    assert +refreshed == Counter(QueuePage=1, TodayPage=1)


@pytest.mark.parametrize("change", first_every_day(["walk", "weather"]))
def test_what_is_likely_follows_walks_and_weather_when_picks_are_shown_again(
    desk: PageStack, change: str
) -> None:
    picks = desk.page("picks")
    assert isinstance(picks, PicksPage)
    desk.go_to("picks")
    before = picks.expected.text()
    desk.go_to("rows")
    CHANGES[change](desk.session.season)
    desk.go_to("picks")
    shown = picks.expected.text()
    assert shown != before
    picks.expected.refresh()
    assert shown == picks.expected.text()
