"""Actions on batches that are recorded: correct, delete, sell, discard, treat with ethylene."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from ripenroom.records.batch import Batch, Outcome, Removal, Treatment
from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.crop.crop_names import called, within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import PickEntry
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import Action, require_not_ahead, require_within_wait
from ripenroom.season.actions.picks import require_pick
from ripenroom.season.amounts import fruit_left, whole_fruit
from ripenroom.season.crop_kinds import profile_of
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import moves_of
from ripenroom.texts import tr, tr_n


def require_batch(book: Book, batch_id: str) -> Batch:
    """The batch of that id; refuse one that is gone."""
    if batch_id not in book.batches:
        raise Refusal("batch_id", "This batch is not in the season any more.")
    return book.batches[batch_id]


def summary(book: Book, batch_ids: Sequence[str]) -> str:
    """A batch's code, or how many batches they are."""
    if len(batch_ids) == 1:
        return book.batches[batch_ids[0]].code
    return tr_n("{n} batch", "{n} batches", len(batch_ids))


def treatments_of(book: Book, batch_id: str) -> list[Treatment]:
    """A batch's ethylene treatments, earliest first."""
    found = (t for t in book.treatments.values() if t.batch_id == batch_id)
    return sorted(found, key=lambda treatment: treatment.at)


def change(state: SeasonState, batch: Batch, answered: frozenset[str] = frozenset()) -> Action:
    """Replace a batch by a mended one; its first move follows a mended pick time.

    ``answered`` are the questions that were answered yes; of what is left as it was none is asked.
    """
    book = state.book
    old = require_batch(book, batch.id)
    moves = moves_of(book, batch.id)
    if _gauge_of(batch) == _gauge_of(old):
        answered |= {"readings", "probe_mm"}
    entry = _as_entry(batch, moves[0].place_id if moves else "", answered)
    require_pick(state, entry)
    put: list[Record] = []
    removals = [r for r in book.removals.values() if r.batch_id == batch.id]
    if moves and batch.picked_at != old.picked_at:
        if len(moves) > 1 and moves[1].at <= batch.picked_at:
            raise Refusal("picked_at", "The batch was moved before that; fix the move first.")
        if any(r.at < batch.picked_at for r in removals):
            raise Refusal("picked_at", "Fruit of this batch was sold or discarded before that.")
        if any(t.at < batch.picked_at for t in treatments_of(book, batch.id)):
            raise Refusal("picked_at", "This batch was given ethylene before that.")
        if any(c.batch_id == batch.id and c.at < batch.picked_at for c in book.checks.values()):
            raise Refusal("picked_at", "This batch was checked before that.")
        put.append(replace(moves[0], at=batch.picked_at))
    if batch.count is None and batch.weight_kg is None and batch.feel_counts is not None:
        batch = replace(batch, count=sum(batch.feel_counts))
    gone = sum(r.count for r in removals)
    if batch.count is not None and batch.count < gone:
        raise Refusal("count", "{gone} of this batch are sold or discarded already.", gone=gone)
    return Action(tr("change of {batch}").format(batch=batch.code), (batch, *put))


def _gauge_of(batch: Batch) -> tuple[object, ...]:
    return batch.crop, batch.readings, batch.reading_unit, batch.probe_mm


def _as_entry(batch: Batch, place_id: str, answered: frozenset[str]) -> PickEntry:
    return PickEntry(
        crop=batch.crop,
        place_id=place_id,
        picked_at=batch.picked_at,
        cultivar_id=batch.cultivar_id,
        row_id=batch.row_id,
        count=batch.count,
        weight_kg=batch.weight_kg,
        feel_counts=batch.feel_counts,
        readings=batch.readings,
        reading_unit=batch.reading_unit,
        probe_mm=batch.probe_mm,
        pulp_c=batch.pulp_c,
        note=batch.note,
        answered=answered,
    )


def delete(state: SeasonState, batch_ids: Sequence[str]) -> Action:
    """Take batches out of the records with all that hangs on them."""
    book = state.book
    gone = dict.fromkeys(batch_ids)
    batches = [require_batch(book, batch_id) for batch_id in gone]
    hanging: list[Record] = [
        record
        for shelf in (
            book.removals,
            book.treatments,
            book.moves,
            book.pins,
            book.checks,
            book.brought,
        )
        for record in shelf.values()
        if record.batch_id in gone
    ]
    label = tr("deletion of {summary}").format(summary=summary(book, list(gone)))
    return Action(label, deleted=(*hanging, *batches))


def take_out(
    state: SeasonState,
    batch_id: str,
    count: int,
    outcome: Outcome,
    at: datetime,
    market_day_id: str | None = None,
) -> Action:
    """Take sold or discarded fruit out of a batch."""
    book = state.book
    batch = require_batch(book, batch_id)
    left = whole_fruit(fruit_left(book, state.crops, batch))
    if not 1 <= count <= left:
        raise Refusal(
            "count",
            "{code} has {left} left, so {count} cannot be taken out.",
            count=count,
            code=batch.code,
            left=left,
        )
    if at < batch.picked_at:
        raise Refusal("at", "That is before {code} was picked.", code=batch.code)
    require_not_ahead("at", at, state.now)
    if market_day_id is not None and market_day_id not in book.market_days:
        raise Refusal("market_day_id", "This market day is not in the season any more.")
    removal = Removal(
        id=new_id(),
        batch_id=batch_id,
        at=at,
        count=count,
        outcome=outcome,
        market_day_id=market_day_id,
    )
    label = (
        tr("{count} of {batch} sold") if outcome == "sold" else tr("{count} of {batch} discarded")
    )
    return Action(label.format(count=count, batch=batch.code), (removal,))


def treat(state: SeasonState, batch_ids: Sequence[str], hours: float, at: datetime) -> Action:
    """Write down that batches are given ethylene for ``hours`` from ``at`` on, perhaps ahead."""
    at = at.replace(microsecond=0)
    book = state.book
    treated = list(dict.fromkeys(batch_ids))
    put = []
    for batch_id in treated:
        batch = require_batch(book, batch_id)
        treatment = checked(Treatment(id=new_id(), batch_id=batch_id, at=at, hours=hours))
        _require_trigger(book, batch, state.crops)
        _require_time(book, batch, hours, at)
        put.append(treatment)
    return Action(tr("ethylene for {summary}").format(summary=summary(book, treated)), tuple(put))


def _require_trigger(book: Book, batch: Batch, crops: Mapping[str, CropProfile]) -> None:
    profile = profile_of(batch, book, crops)
    if profile is None:
        raise Refusal(
            "batch_id",
            "This season has no crop “{crop}”, so {code} cannot be treated.",
            crop=batch.crop,
            code=batch.code,
        )
    if profile.gate is None or profile.gate.ethylene_days is None:
        raise Refusal(
            "batch_id",
            "{code} needs no ethylene: {crop} ripens without it.",
            code=batch.code,
            crop=within(called(profile)),
        )


def _require_time(book: Book, batch: Batch, hours: float, at: datetime) -> None:
    if at < batch.picked_at:
        raise Refusal(
            "at", "That is before {code} was picked; choose a later time.", code=batch.code
        )
    require_within_wait(at, batch)
    for other in treatments_of(book, batch.id):
        apart = at - other.at
        if -timedelta(hours=hours) < apart < timedelta(hours=other.hours):
            raise Refusal(
                "at",
                "{code} is in ethylene at that time already; delete that first.",
                code=batch.code,
            )


def delete_treatment(state: SeasonState, treatment_id: str) -> Action:
    """Take a treatment back."""
    book = state.book
    found = book.treatments.get(treatment_id)
    if found is None:
        raise Refusal("", "This ethylene is not in the season any more.")
    code = book.batches[found.batch_id].code
    return Action(tr("ethylene for {code} taken back").format(code=code), deleted=(found,))
