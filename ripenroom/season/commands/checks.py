"""Commands on checks: squeeze fruit of a batch again, and say what that tells."""

from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from ripenroom.records.check import Check
from ripenroom.records.check_entry import CheckEntry
from ripenroom.records.refusal import Question
from ripenroom.season.amounts_left import fruit_left, whole_fruit
from ripenroom.season.changes import checks
from ripenroom.season.changes.batches import require_batch
from ripenroom.season.commands.acting import Acting
from ripenroom.season.moments import to_hours
from ripenroom.season.moves import moves_of
from ripenroom.season.projection import Projection
from ripenroom.units import force_in

# None is needed before the first check.
if TYPE_CHECKING:
    from ripenroom.season.advice.how_many import CheckDesign
    from ripenroom.season.learned import CheckFit, CheckKind, Learned
    from ripenroom.season.taught import Taught


class Learning(Acting, Protocol):
    """A season that knows what its checks taught so far."""

    @property
    def learned(self) -> "Learned | None":
        """What checks taught, as taken in last."""

    def projection(self) -> Projection:
        """What the science says of every batch as on now."""


class CheckCommands:
    """What can be done with checks; each is one step of undo."""

    def __init__(self, season: Learning) -> None:
        self._season = season

    def add(self, entry: CheckEntry) -> Check:
        """Write a check down. One that contradicts all else is asked about (``surprise``)."""
        season = self._season
        check, change = checks.add_check(season.book, season.crops, entry, season.now())
        if "surprise" not in entry.answered:
            self._ask_if_surprising(check)
        season.act(change)
        return check

    def change(self, check: Check, answered: frozenset[str] = frozenset()) -> None:
        """Replace a check by a mended one of the same id; asks as :meth:`add` does."""
        season = self._season
        change = checks.change_check(season.book, season.crops, check, season.now(), answered)
        old = season.book.checks[check.id]
        says_the_same = replace(old, note=check.note, counted=check.counted) == check
        if check.counted and not says_the_same and "surprise" not in answered:
            self._ask_if_surprising(check)
        season.act(change)

    def delete(self, check_id: str) -> None:
        """Take a check out of the records."""
        self._season.act(checks.delete_check(self._season.book, check_id))

    def count_in(self, check_id: str, counted: bool) -> None:
        """Learn from a check, or leave it out."""
        self._season.act(checks.count_in(self._season.book, check_id, counted))

    def left(self, batch_id: str) -> int:
        """Fruit of a batch that are there to be squeezed now."""
        season = self._season
        batch = require_batch(season.book, batch_id)
        if batch.crop not in season.crops:
            return 0
        return whole_fruit(fruit_left(season.book, season.crops, batch, season.now()))

    def design(self, batch_id: str, kind: "CheckKind") -> "CheckDesign | None":
        """How many fruit of a batch to squeeze now; None where that tells nothing."""
        from ripenroom.season.advice.how_many import check_design
        from ripenroom.season.projector import Projector

        season = self._season
        batch = require_batch(season.book, batch_id)
        moves = moves_of(season.book, batch_id)
        profile = season.crops.get(batch.crop)
        if profile is None or profile.judged_by == "nothing" or not moves:
            return None
        projector = Projector.of(season.state)
        left = self.left(batch_id)
        return check_design(season.book, season.now(), batch, moves, projector, kind, left)

    def taught(self, batch_id: str) -> "Taught | None":
        """A batch's next date by the book and as learned."""
        from ripenroom.season.taught import taught

        season = self._season
        return taught(season.state, batch_id)

    def worth_checking(self) -> tuple[str, ...]:
        """Ids of the batches that a check would tell most about, the best first."""
        from ripenroom.season.advice.worth_checking import worth_checking

        return worth_checking(self._season.book, self._season.projection())

    def checked_lately(self) -> frozenset[str]:
        """Ids of batches that were squeezed so lately that more tells little."""
        from ripenroom.season.advice.worth_checking import checked_lately

        return checked_lately(self._season.book, to_hours(self._season.now()))

    def _ask_if_surprising(self, check: Check) -> None:
        from ripenroom.season.learning.fit import fit

        season = self._season
        found = fit(season.state.with_changes((check,)))
        about = found.checks.get(check.id)
        if about is not None and about.surprising:
            crop = season.crops[season.book.batches[check.batch_id].crop]
            raise _surprise(check, about, crop.judged_by == "colour")


def _surprise(check: Check, about: "CheckFit", by_colour: bool) -> Question:
    low, _, high = about.expected
    if about.from_feel is None:
        unit = check.reading_unit or "N"
        return Question(
            "surprise",
            "This contradicts all else that is known: {observed:.3g} {unit} on average, where "
            "{low:.3g} to {high:.3g} was expected. Is it the right batch, and the gauge zeroed?",
            observed=force_in(about.observed, unit),
            low=force_in(low, unit),
            high=force_in(high, unit),
            unit=unit,
        )
    return Question("surprise", _SURPRISES[by_colour, about.z > 0])


_SURPRISES = {
    (False, True): "This contradicts all else that is known: the fruit is much softer than "
    "expected. Is it the right batch?",
    (False, False): "This contradicts all else that is known: the fruit is much firmer than "
    "expected. Is it the right batch?",
    (True, True): "This contradicts all else that is known: the fruit is much riper than "
    "expected. Is it the right batch?",
    (True, False): "This contradicts all else that is known: the fruit is much greener than "
    "expected. Is it the right batch?",
}
"""By whether fruit is judged by colour, and whether it is further on than expected."""
