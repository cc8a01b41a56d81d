"""What can be decided otherwise for crates of a batch, in words."""

from collections.abc import Callable

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QMenu

from ripenroom.season.plans.decisions import destinations, waits_in
from ripenroom.window.queue.hand import PlanHand
from ripenroom.window.queue.ways import Way
from ripenroom.window.session import Session


def add_plan(
    menu: QMenu,
    session: Session,
    hand: PlanHand,
    way: Way | None,
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
            earlier = QCoreApplication.translate("BatchMenu", "Move it an evening earlier")
            later = QCoreApplication.translate("BatchMenu", "Move it an evening later")
            add(earlier, _shift("←"), lambda: hand.shift_pull(-1))
            add(later, _shift("→"), lambda: hand.shift_pull(1))
        if session.season.book.market_days:
            before = QCoreApplication.translate("BatchMenu", "For the market day before")
            after = QCoreApplication.translate("BatchMenu", "For the market day after")
            add(before, _alt("←"), lambda: hand.shift_market(-1))
            add(after, _alt("→"), lambda: hand.shift_market(1))
        if not way.written:
            _add_places(menu, session, hand, way)
    if way is not None and not way.line.packed:
        pin = (
            QCoreApplication.translate("BatchMenu", "Take the pin off")
            if way.pinned
            else QCoreApplication.translate("BatchMenu", "Pin as planned")
        )
        add(pin, "P", hand.pin_or_unpin)
    deciding = QCoreApplication.translate("BatchMenu", "Decide for this batch…")
    add(deciding, "D", lambda: decide(batch_id))


def _add_places(menu: QMenu, session: Session, hand: PlanHand, way: Way) -> None:
    places = menu.addMenu(QCoreApplication.translate("BatchMenu", "Plan it into"))
    stay = QCoreApplication.translate("BatchMenu", "Stays where it is")
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
    return QCoreApplication.translate("BatchMenu", "Shift+{key}").format(key=key)


def _alt(key: str) -> str:
    return QCoreApplication.translate("BatchMenu", "Alt+{key}").format(key=key)
