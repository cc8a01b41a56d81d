"""Asks the planner what a decision costs, and writes it down."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.records.pin import Pin
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.plans.decisions import DecisionOptions, as_pin, moves_twice, options_of
from ripenroom.window.forms.refusal_note import refusal_text
from ripenroom.window.queue.costs import cost_words
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import PlannedLine


class Decider:
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

    def as_pin(self, line: "PlannedLine") -> Pin:
        """A planned line as a pin."""
        return as_pin(line, self._session.season.book)

    def why_not_as_planned(self, line: "PlannedLine") -> str:
        """Why a planned line cannot be pinned as it is; empty if it can."""
        if not moves_twice(line, self._session.season.book):
            return ""
        return QCoreApplication.translate(
            "Queue", "These crates move twice; they can be pinned once the first move is made."
        )

    def cost(self, pin: Pin) -> str:
        """What a decision costs against the best plan without it, or why it cannot be."""
        season = self._session.season
        try:
            actions.pins.pin(season.state, pin)
        except Refusal as refusal:
            return refusal_text(refusal)
        replanner = self._session.plans.replanner
        if replanner is None:
            return QCoreApplication.translate("Queue", "what it costs is not known yet: planning…")
        priced = any(want.price_minor is not None for want in season.book.wants.values())
        return cost_words(replanner.cost_of((pin,)), self._session.words, priced)

    def decide(self, pin: Pin, done: str) -> bool:
        """Write a decision down; it can be undone. Whether that could be done."""
        return self._session.do(done, actions.pins.pin, pin)

    def leave_to_plan(self, pin_id: str, done: str) -> bool:
        """Take a decision back."""
        return self._session.do(done, actions.pins.unpin, pin_id)
