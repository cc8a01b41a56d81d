"""Ethylene treatments: given to batches whose crop waits for a trigger, and taken back."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from ripenroom.records.batch import Batch, Treatment
from ripenroom.records.book import Book
from ripenroom.records.checking import checked
from ripenroom.records.crop.called import called, within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.identity import new_id
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action, require_within_wait
from ripenroom.season.actions.batches import require_batch, summary, treatments_of
from ripenroom.season.kinds import profile_of
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr


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
    require_within_wait("at", at, batch)
    for other in treatments_of(book, batch.id):
        apart = at - other.at
        if -timedelta(hours=hours) < apart < timedelta(hours=other.hours):
            raise Refusal(
                "at",
                "{code} is in ethylene at that time already; delete that first.",
                code=batch.code,
            )


def delete(state: SeasonState, treatment_id: str) -> Action:
    """Take a treatment back."""
    book = state.book
    found = book.treatments.get(treatment_id)
    if found is None:
        raise Refusal("", "This ethylene is not in the season any more.")
    code = book.batches[found.batch_id].code
    return Action(tr("ethylene for {code} taken back").format(code=code), deleted=(found,))
