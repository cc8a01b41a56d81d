"""The form in which it is decided how crates of a batch go, whatever the plan would do."""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QWidget

from ripenroom.records.book import new_id
from ripenroom.records.market import Pin
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.amounts import crates_left
from ripenroom.season.plans.decisions import (
    DecisionOptions,
    as_pin,
    destinations,
    options_of,
)
from ripenroom.texts import tr
from ripenroom.window.queue.queue_plan import QueueItinerary
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import CountBox, RecordChoice
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.plan.itineraries import why_not_pinned
from ripenroom.wording.plan.pin_cost import cost_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


class Decision:
    """Decisions on the crates of one session's season."""

    def __init__(self, session: Session) -> None:
        self._session = session

    @property
    def writable(self) -> bool:
        """Whether anything can be decided."""
        return self.closed_because is None

    @property
    def closed_because(self) -> str | None:
        """Why nothing can be decided; None if it can."""
        return self._session.season.read_only_because

    def options(self) -> DecisionOptions:
        """Evenings and market days to choose from."""
        season = self._session.season
        return options_of(season.book, season.now(), season.zone)

    def as_pin(self, line: "PlannedItinerary") -> Pin:
        """A planned line as a pin."""
        return as_pin(line, self._session.season.book)

    def why_not_as_planned(self, line: "PlannedItinerary") -> str:
        """Why a line can be neither pinned as it is planned nor unpinned; empty if it can."""
        return why_not_pinned(line, self._session.season.book)

    def cost(self, pin: Pin) -> str:
        """What a decision costs against the best plan without it, or why it cannot be."""
        season = self._session.season
        try:
            actions.pins.pin(season.state, pin)
        except Refusal as refusal:
            return refusal.message
        replanner = self._session.plans.replanner
        if replanner is None:
            return tr("what it costs is not known yet: planning…")
        priced = any(want.price_minor is not None for want in season.book.wants.values())
        return cost_words(replanner.cost_of((pin,)), self._session.words, priced)

    def decide(self, pin: Pin, done: str) -> bool:
        """Write a decision down; it can be undone. Whether that could be done."""
        return self._session.do(done, actions.pins.pin, pin)

    def leave_to_plan(self, pin_id: str, done: str) -> bool:
        """Take a decision back."""
        return self._session.do(done, actions.pins.unpin, pin_id)


_COST_AFTER_MS = 60
"""A cost is worked out once the choice has rested for so long."""


class DecideDialog(FormDialog):
    """Begins with the crates of ``way`` as they are planned; says live what the decision costs."""

    def __init__(
        self,
        session: Session,
        batch_id: str,
        way: QueueItinerary | None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        season = session.season
        self._batch = season.book.batches[batch_id]
        self._decider = Decision(session)
        self._options = self._decider.options()
        planned = None if way is None or way.line.batch_id != batch_id else way.line
        self._pin = (
            Pin(id=new_id(), batch_id=batch_id, crates=1)
            if planned is None
            else self._decider.as_pin(planned)
        )
        self.setWindowTitle(tr("Plan {code} yourself").format(code=self._batch.code))
        self.action_button.setText(tr("Pin it"))
        self.crates = CountBox(self)
        self.place = RecordChoice(18)
        self.pull = RecordChoice(18)
        self.day = RecordChoice(22)
        self.cost = WrappedLabel()
        self.cost.setAccessibleName(tr("What it costs"))
        self._fill()
        self.add("crates", Field(tr("&Crates"), self.crates))
        self.add("place_id", Field(tr("Ripens or &waits in"), self.place))
        self.add("pull_at", Field(tr("Moved there on the &evening of"), self.pull))
        self.add("market_day_id", Field(tr("&Market day"), self.day))
        # Room for two lines, so that the form does not jump while one chooses.
        self.cost.setMinimumHeight(self.fontMetrics().lineSpacing() * 2)
        self.body.addWidget(self.cost)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._show_cost)
        self.crates.valueChanged.connect(self._on_chosen)
        for choice in (self.place, self.pull, self.day):
            choice.currentIndexChanged.connect(self._on_chosen)
        session.plans.planned.connect(self._on_chosen)
        self.pull.setEnabled(self.place.value() is not None)
        self._show_cost()
        self.fit()
        self.crates.setFocus()
        self.crates.selectAll()

    def pin(self) -> Pin:
        """What is chosen, as a pin."""
        place_id, pull_at, day_id = self.place.value(), self.pull.value(), self.day.value()
        moves = isinstance(place_id, str)
        return replace(
            self._pin,
            crates=self.crates.value(),
            place_id=place_id if isinstance(place_id, str) else None,
            pull_at=pull_at if moves and isinstance(pull_at, datetime) else None,
            market_day_id=day_id if isinstance(day_id, str) else None,
        )

    def carry_out(self) -> None:
        """Write the pin down."""
        self.session.season.do(actions.pins.pin, self.pin())

    def done_text(self) -> str:
        """What was decided, and what it costs."""
        return tr("{code}: pinned, {cost}.").format(
            code=self._batch.code, cost=self._decider.cost(self.pin())
        )

    def _fill(self) -> None:
        season, words = self.session.season, self.session.words
        left = crates_left(season.book, season.crops, self._batch)
        self.crates.setRange(1, left)
        self.crates.setValue(self._pin.crates)
        self.crates.setSuffix(tr(" of {left}").format(left=words.number(left)))
        here = season.place_of(self._batch.id)
        stays = tr("stays: {place}").format(place=here.name) if here else tr("stays")
        self.place.set_choices(
            [
                (None, stays),
                *(
                    (place.id, place.name)
                    for place in destinations(season.book, here.id if here else None)
                ),
            ]
        )
        evenings = list(self._options.evenings)
        if self._pin.pull_at is not None and self._pin.pull_at not in evenings:
            evenings = sorted([*evenings, self._pin.pull_at])
        self.pull.set_choices([(one, words.moment(one)) for one in evenings])
        self.day.set_choices(
            [
                (None, tr("none: keep it")),
                *(
                    (d.id, f"{words.day(d.starts_at)} · {d.name}")
                    for d in self._options.market_days
                ),
            ]
        )
        self.place.choose(self._pin.place_id)
        self.pull.choose(self._pin.pull_at)
        self.day.choose(self._pin.market_day_id)

    def _on_chosen(self) -> None:
        self.pull.setEnabled(self.place.value() is not None)
        self._soon.start(_COST_AFTER_MS)

    def _show_cost(self) -> None:
        cost = self._decider.cost(self.pin())
        self.cost.setText(cost[:1].upper() + cost[1:])
