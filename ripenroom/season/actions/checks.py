"""Checks of batches: written down, mended, switched off, deleted."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, new_id
from ripenroom.records.check import Check
from ripenroom.records.crop.crop_names import called, within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import CheckEntry
from ripenroom.records.refusal import Question, Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import Action, require_not_ahead
from ripenroom.season.actions.batches import require_batch
from ripenroom.season.actions.firmness import require_counts, require_feel, require_readings
from ripenroom.season.amounts import fruit_left, whole_fruit
from ripenroom.season.state import SeasonState
from ripenroom.texts import noted, tr
from ripenroom.units import force_in

if TYPE_CHECKING:
    from ripenroom.season.learned import CheckFit


def add(state: SeasonState, entry: CheckEntry) -> tuple[Check, Action]:
    """Write a check down. One that contradicts all else is asked about (``surprise``)."""
    check, action = add_unasked(state, entry)
    if "surprise" not in entry.answered:
        _ask_if_surprising(state, check)
    return check, action


def change(state: SeasonState, check: Check, answered: frozenset[str] = frozenset()) -> Action:
    """Replace a check by a mended one of the same id; asks as :func:`add` does."""
    action = _changed(state, check, answered)
    old = state.book.checks[check.id]
    says_the_same = replace(old, note=check.note, counted=check.counted) == check
    if check.counted and not says_the_same and "surprise" not in answered:
        _ask_if_surprising(state, check)
    return action


def add_unasked(state: SeasonState, entry: CheckEntry) -> tuple[Check, Action]:
    """A new check and the action that writes it down, whatever else is known."""
    batch = require_check(state.book, state.crops, entry, state.now)
    check = _as_check(entry, new_id())
    return check, Action(tr("check of {batch}").format(batch=batch.code), (check,))


def _changed(state: SeasonState, check: Check, answered: frozenset[str] = frozenset()) -> Action:
    """Replace a check by a mended one; of what is left as it was, nothing is asked again."""
    book = state.book
    old = _require_known(book, check.id)
    if _gauge_of(old) == _gauge_of(check):
        answered |= {"readings", "probe_mm"}
    entry = CheckEntry(
        batch_id=check.batch_id,
        at=check.at,
        feel_counts=check.feel_counts,
        readings=check.readings,
        reading_unit=check.reading_unit,
        probe_mm=check.probe_mm,
        note=check.note,
        answered=answered,
    )
    if old.picks_over and (old.feel_counts, old.at, old.batch_id) != (
        check.feel_counts,
        check.at,
        check.batch_id,
    ):
        raise Refusal(
            "feel_counts",
            "Fruit of {code} was squeezed and packed for a market day then. Undo that packing"
            " and enter it again.",
            code=book.batches[old.batch_id].code,
        )
    batch = require_check(book, state.crops, entry, state.now)
    mended = replace(
        _as_check(entry, check.id),
        counted=check.counted,
        eat_within_days=old.eat_within_days,
        picked_from=old.picked_from,
    )
    return Action(tr("change of a check of {batch}").format(batch=batch.code), (mended,))


def delete(state: SeasonState, check_id: str) -> Action:
    """Take a check out of the records."""
    book = state.book
    check = _require_known(book, check_id)
    code = book.batches[check.batch_id].code
    return Action(tr("deletion of a check of {code}").format(code=code), deleted=(check,))


def count_in(state: SeasonState, check_id: str, counted: bool) -> Action:
    """Learn from a check, or leave it out of what is learned."""
    book = state.book
    check = _require_known(book, check_id)
    code = book.batches[check.batch_id].code
    label = (
        tr("check of {code} counted").format(code=code)
        if counted
        else tr("check of {code} left out").format(code=code)
    )
    return Action(label, (replace(check, counted=counted),))


def _require_known(book: Book, check_id: str) -> Check:
    if check_id not in book.checks:
        raise Refusal("", "This check is not in the season any more.")
    return book.checks[check_id]


def _gauge_of(check: Check) -> tuple[object, ...]:
    return check.batch_id, check.readings, check.reading_unit, check.probe_mm


def _as_check(entry: CheckEntry, check_id: str) -> Check:
    return Check(
        id=check_id,
        batch_id=entry.batch_id,
        at=entry.at.replace(microsecond=0),
        feel_counts=entry.feel_counts,
        readings=entry.readings,
        reading_unit=entry.reading_unit if entry.readings else None,
        probe_mm=entry.probe_mm if entry.readings else None,
        note=entry.note.strip(),
    )


def require_check(
    book: Book, crops: Mapping[str, CropProfile], entry: CheckEntry, now: datetime
) -> Batch:
    """The batch that is checked; refuse an entry that cannot be, question one that is a slip."""
    batch = require_batch(book, entry.batch_id)
    profile = crops.get(batch.crop)
    if profile is None:
        raise Refusal(
            "batch_id",
            "This season has no crop “{crop}”, so a check of {code} would not help.",
            crop=batch.crop,
            code=batch.code,
        )
    if profile.judged_by == "nothing":
        raise Refusal(
            "feel_counts",
            "How {crop} softens is not known, only its dates: a check would not help.",
            crop=within(called(profile)),
        )
    if entry.at < batch.picked_at:
        raise Refusal("at", "That is before {code} was picked.", code=batch.code)
    require_not_ahead("at", entry.at, now)
    left = whole_fruit(fruit_left(book, crops, batch, entry.at))
    if left < 1:
        raise Refusal(
            "at",
            "None of {code} was left then: all was sold or discarded.",
            code=batch.code,
        )
    if entry.feel_counts is None and not entry.readings:
        raise Refusal("feel_counts", "No fruit counted yet: squeeze some, or read a gauge.")
    looked_at = sum(entry.feel_counts) if entry.feel_counts is not None else len(entry.readings)
    field = "feel_counts" if entry.feel_counts is not None else "readings"
    if entry.feel_counts is not None:
        require_counts(entry.feel_counts, profile)
    checked(entry)
    if entry.feel_counts is not None:
        require_feel(entry.feel_counts, None, profile)
    if entry.readings:
        require_readings(entry, profile)
    if looked_at > left:
        raise Refusal(
            field,
            "That is {looked_at} fruit, but {code} had only {left} left then.",
            looked_at=looked_at,
            code=batch.code,
            left=left,
        )
    return batch


def _ask_if_surprising(state: SeasonState, check: Check) -> None:
    # Not needed before the first check.
    from ripenroom.season.learning.fit import fit

    about = fit(state.with_changes((check,))).checks.get(check.id)
    if about is not None and about.surprising:
        crop = state.crops[state.book.batches[check.batch_id].crop]
        raise _surprise(check, about, crop.judged_by == "colour")


def _surprise(check: Check, about: "CheckFit", by_colour: bool) -> Question:
    low, _, high = about.expected
    if about.from_feel is None:
        unit = check.reading_unit or "N"
        return Question(
            "surprise",
            "Is this the right batch, and the gauge zeroed? {observed:.3g} {unit} on average;"
            " expected {low:.3g} to {high:.3g}.",
            observed=force_in(about.observed, unit),
            low=force_in(low, unit),
            high=force_in(high, unit),
            unit=unit,
        )
    return Question("surprise", _SURPRISES[by_colour, about.z > 0])


_SURPRISES = {
    (False, True): noted("Is this the right batch? Its fruit is much softer than expected."),
    (False, False): noted("Is this the right batch? Its fruit is much firmer than expected."),
    (True, True): noted("Is this the right batch? Its fruit is much riper than expected."),
    (True, False): noted("Is this the right batch? Its fruit is much greener than expected."),
}
"""By whether fruit is judged by colour, and whether it is further on than expected."""
