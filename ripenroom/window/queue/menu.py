"""What can be done from the queue with a batch, or with its planned crates, on a day."""

from collections.abc import Callable
from datetime import date, datetime, time
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu, QWidget

from ripenroom.records.batch import Outcome
from ripenroom.season import actions
from ripenroom.season.plans.decisions import destinations, waits_in
from ripenroom.texts import tr
from ripenroom.window.forms.batch_moves import (
    EthyleneDialog,
    TakeOutDialog,
    opened_by_ethylene,
)
from ripenroom.window.plain import set_hint
from ripenroom.window.queue.drag import PlanDrag
from ripenroom.window.queue.queue_plan import QueueItinerary
from ripenroom.window.session import Session

_PULL_AT = time(8)
"""A pull is planned for the morning; the batch's own page changes the hour."""

AddPlan = Callable[[QMenu, str], None]
"""Adds to the menu of a batch what can be decided of its plan."""


def batch_menu(
    session: Session,
    batch_id: str | None,
    day: date | None,
    open_batch: Callable[[str], None],
    add_market_day: Callable[[date], None],
    parent: QWidget,
    plan: AddPlan | None = None,
) -> QMenu:
    """The menu for a batch (None: empty space) on a day; ``plan`` adds what is planned for it."""
    menu = QMenu(parent)
    writable = session.season.read_only_because is None
    if batch_id is not None:
        _add_batch(menu, session, batch_id, day, writable, open_batch)
    if batch_id is not None and writable and plan is not None:
        plan(menu, batch_id)
    if day is not None and writable:
        if not menu.isEmpty():
            menu.addSeparator()
        text = tr("Add a market day on {day}…").format(day=session.words.day(day))
        menu.addAction(text).triggered.connect(lambda _checked=False: add_market_day(day))
    return menu


def _add_batch(
    menu: QMenu,
    session: Session,
    batch_id: str,
    day: date | None,
    writable: bool,
    open_batch: Callable[[str], None],
) -> None:
    season, code = session.season, session.season.book.batches[batch_id].code
    text = tr("Open {code}")
    opening = menu.addAction(text.format(code=code))
    opening.triggered.connect(lambda _checked=False: open_batch(batch_id))
    menu.setDefaultAction(opening)
    if not writable:
        return
    checking = menu.addAction(tr("Check…") + "\tC")  # the canvas itself listens to the key
    checking.triggered.connect(partial(show_check, session, batch_id, menu.parentWidget()))
    outcomes: tuple[tuple[Outcome, str], ...] = (
        ("sold", tr("Sold…")),
        ("discarded", tr("Discarded…")),
    )
    for outcome, text in outcomes:
        action = menu.addAction(text)
        action.triggered.connect(
            partial(_take_out, session, batch_id, outcome, menu.parentWidget())
        )
    if opened_by_ethylene(season, season.book.batches[batch_id]):
        treating = menu.addAction(tr("Ethylene…"))
        treating.triggered.connect(partial(_treat, session, batch_id, menu.parentWidget()))
    here = season.place_of(batch_id)
    others = {
        place.id: place.name
        for place in sorted(season.book.places.values(), key=lambda place: place.name.casefold())
        if here is None or place.id != here.id
    }
    moving = menu.addMenu(tr("Move now to"))
    _add_places(moving, session, batch_id, others, season.now())
    if day is None or day <= season.now().date() or here is None:
        return
    here_c = season.set_point_c(here.id)
    warmer = {key: name for key, name in others.items() if season.set_point_c(key) > here_c}
    if warmer:
        text = tr("Move on {day} to")
        pulling = menu.addMenu(text.format(day=session.words.day(day)))
        at = datetime.combine(day, _PULL_AT, tzinfo=season.zone)
        _add_places(pulling, session, batch_id, warmer, at)


def _take_out(
    session: Session,
    batch_id: str,
    outcome: Outcome,
    parent: QWidget | None,
    _checked: bool = False,
) -> None:
    dialog = TakeOutDialog(session, batch_id, outcome, parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()


def show_check(
    session: Session, batch_id: str, parent: QWidget | None, _checked: bool = False
) -> None:
    """Show the form for what fruit of a batch feels like now."""
    from ripenroom.window.forms.check import CheckDialog

    dialog = CheckDialog(session, batch_id, parent=parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()


def _treat(session: Session, batch_id: str, parent: QWidget | None, _checked: bool = False) -> None:
    dialog = EthyleneDialog(session, batch_id, parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()


def _add_places(
    menu: QMenu, session: Session, batch_id: str, places: dict[str, str], at: datetime
) -> None:
    code = session.season.book.batches[batch_id].code
    for place_id, name in places.items():
        done = tr("{code} goes to {place}: {moment}.").format(
            code=code, place=name, moment=session.words.moment(at)
        )

        def move(_checked: bool = False, place_id: str = place_id, done: str = done) -> None:
            session.do(done, actions.moves.move, [batch_id], place_id, at)

        action = menu.addAction(name)
        set_hint(action, f"{name}, {session.words.set_point(session.season.set_point_c(place_id))}")
        action.triggered.connect(move)
    menu.setToolTipsVisible(True)


def add_plan(
    menu: QMenu,
    session: Session,
    hand: PlanDrag,
    way: QueueItinerary | None,
    batch_id: str,
    decide: Callable[[str], None],
) -> None:
    """Add the decisions on ``way`` (None: nothing is planned for the batch) to a batch's menu.

    What is tried here shows on the line with its cost, and is pinned by Enter.
    """
    menu.addSeparator()

    def add(text: str, keys: str, act: Callable[[], None]) -> None:
        # A tab sets the key apart; the canvas itself listens to it.
        menu.addAction(f"{text}\t{keys}").triggered.connect(lambda _checked=False: act())

    if way is not None and not way.line.packed:
        if way.line.pull_at is not None and not way.written and not way.line.second_grade:
            earlier = tr("Move it an evening earlier")
            later = tr("Move it an evening later")
            add(earlier, _shift("←"), lambda: hand.shift_pull(-1))
            add(later, _shift("→"), lambda: hand.shift_pull(1))
        if session.season.book.market_days:
            before = tr("For the market day before")
            after = tr("For the market day after")
            add(before, _alt("←"), lambda: hand.shift_market(-1))
            add(after, _alt("→"), lambda: hand.shift_market(1))
        if not way.written:
            _add_plan_places(menu, session, hand, way)
    if way is not None and not way.line.packed:
        pin = tr("Take the pin off") if way.pinned else tr("Pin as planned")
        add(pin, "P", hand.pin_or_unpin)
    deciding = tr("Plan this batch yourself…")
    add(deciding, "D", lambda: decide(batch_id))


def _add_plan_places(menu: QMenu, session: Session, hand: PlanDrag, way: QueueItinerary) -> None:
    places = menu.addMenu(tr("Plan a move to"))
    stay = tr("Stays where it is")
    options: list[tuple[str | None, str]] = [(None, stay)]
    there = destinations(session.season.book, way.line.from_place_id)
    options += [(place.id, place.name) for place in there]
    planned = way.line.to_place_id if way.line.steps else None
    for place_id, name in options:
        action = places.addAction(name)
        action.setCheckable(True)
        action.setChecked(place_id == planned)

        def act(_checked: bool = False, place_id: str | None = place_id) -> None:
            hand.try_pin(lambda pin, options: waits_in(pin, place_id, options))

        action.triggered.connect(act)


def _shift(key: str) -> str:
    return tr("Shift+{key}").format(key=key)


def _alt(key: str) -> str:
    return tr("Alt+{key}").format(key=key)
