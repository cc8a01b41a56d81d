"""Writing down a pick: one entry becomes one batch, or one of each feel."""

import math
from datetime import UTC

from ripenroom.records.batch import FEELS, Batch, FeelCounts, Move
from ripenroom.records.book import Book, Record, new_id
from ripenroom.records.crop.crop_names import fruit_noun
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import PickEntry
from ripenroom.records.limits import COLDEST_PULP_C, HOTTEST_PULP_C
from ripenroom.records.refusal import Question, Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import (
    Action,
    mass_label,
    require_in_season,
    require_not_ahead,
)
from ripenroom.season.actions.firmness import require_counts, require_feel, require_readings
from ripenroom.season.actions.orchard import require_cultivar
from ripenroom.season.amounts import fruit_mass_kg
from ripenroom.season.batch_codes import Codes
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr
from ripenroom.units import celsius


def add(
    state: SeasonState, entry: PickEntry, code: str | None = None
) -> tuple[tuple[Batch, ...], Action]:
    """The batches of a pick, each with its first move to the place; and the action.

    A pick that makes one batch may have its ``code`` already.
    """
    require_pick(state, entry)
    profile = state.crops[entry.crop]
    day = entry.picked_at.astimezone(state.zone).date()
    parts = portions(entry, profile.fruit_mass_g.high / 1000.0)
    if code is not None:
        codes = [code]
    else:
        taken = Codes(batch.code for batch in state.book.batches.values())
        codes = taken.next(profile.letter, day, len(parts))
    put: list[Record] = []
    for own_code, (count, weight_kg, feel) in zip(codes, parts, strict=True):
        batch = Batch(
            id=new_id(),
            code=own_code,
            crop=entry.crop,
            picked_at=entry.picked_at.astimezone(UTC).replace(microsecond=0),
            cultivar_id=entry.cultivar_id,
            row_id=entry.row_id,
            count=count,
            weight_kg=weight_kg,
            feel_counts=feel,
            readings=entry.readings,
            reading_unit=entry.reading_unit if entry.readings else None,
            probe_mm=entry.probe_mm if entry.readings else None,
            pulp_c=entry.pulp_c,
            note=entry.note.strip(),
        )
        move = Move(id=new_id(), batch_id=batch.id, at=batch.picked_at, place_id=entry.place_id)
        put += [batch, move]
    total = sum(count or 0 for count, _, _ in parts)
    made = tuple(record for record in put if isinstance(record, Batch))
    if total:
        label = tr("pick of {count} {fruit}").format(count=total, fruit=fruit_noun(profile, total))
    else:
        mass = mass_label(state.book, entry.weight_kg or 0.0)
        label = tr("pick of {weight} of {fruit}").format(weight=mass, fruit=fruit_noun(profile))
    return made, Action(label, tuple(put))


def portions(
    entry: PickEntry, heaviest_fruit_kg: float = math.inf
) -> list[tuple[int | None, float | None, FeelCounts | None]]:
    """Count, weight (kg) and feel counts of each batch that the entry makes.

    Feels are only parted when every fruit was felt: a sample does not say which fruit is which.
    Where a weight but no count is given, it is a sample if that many fruit cannot weigh so much.
    """
    feel = entry.feel_counts
    if feel is None:
        return [(entry.count, entry.weight_kg, None)]
    felt = sum(feel)
    count = entry.count
    if count is None and (entry.weight_kg or 0.0) <= felt * heaviest_fruit_kg:
        count = felt
    if not entry.split_by_feel or count != felt or sum(1 for n in feel if n) < 2:
        return [(count, entry.weight_kg, feel)]
    return [
        (
            number,
            None if entry.weight_kg is None else entry.weight_kg * number / felt,
            _only(which, number),
        )
        for which, number in enumerate(feel)
        if number
    ]


def fruit_of(entry: PickEntry, profile: CropProfile) -> float:
    """Fruit in all that the entry makes: as counted, or by weight and the crop's usual fruit."""
    parts = portions(entry, profile.fruit_mass_g.high / 1000.0)
    usual_kg = fruit_mass_kg(profile)
    return sum(
        float(count) if count is not None else (weight_kg or 0.0) / usual_kg
        for count, weight_kg, _ in parts
    )


def _only(which: int, number: int) -> FeelCounts:
    a, b, c, d, e = (number if n == which else 0 for n in range(len(FEELS)))
    return a, b, c, d, e


def require_pick(state: SeasonState, entry: PickEntry) -> None:
    """Refuse an entry that cannot be; question one that is more likely a slip."""
    crops = state.crops
    if entry.pulp_c is not None:
        _ask_for_unit(entry.pulp_c)
    if entry.crop not in crops:
        raise Refusal(
            "crop",
            "There is no crop “{crop}” here. There are: {known}.",
            crop=entry.crop,
            known=", ".join(crops),
        )
    if entry.place_id not in state.book.places:
        raise Refusal("place_id", "Where does the fruit wait? Choose a place, or add one first.")
    _require_orchard(state.book, entry)
    require_not_ahead("picked_at", entry.picked_at, state.now)
    require_in_season("picked_at", entry.picked_at, state.book)
    if entry.count is None and entry.weight_kg is None and entry.feel_counts is None:
        raise Refusal("count", "How much was picked? Type the feels, a count or a weight.")
    if entry.feel_counts is not None:
        require_counts(entry.feel_counts, crops[entry.crop])
    checked(entry)
    if entry.feel_counts is not None:
        require_feel(entry.feel_counts, entry.count, crops[entry.crop])
    if entry.readings:
        require_readings(entry, crops[entry.crop])


def _require_orchard(book: Book, entry: PickEntry) -> None:
    if entry.cultivar_id is not None:
        require_cultivar(book, entry.cultivar_id, entry.crop)
    if entry.row_id is not None and entry.row_id not in book.rows:
        raise Refusal("row_id", "This row is not in the season any more; choose again.")


def _ask_for_unit(pulp_c: float) -> None:
    """Ask whether a pulp temperature (C) that cannot be was meant in Fahrenheit."""
    meant = celsius(pulp_c, "F")
    if not COLDEST_PULP_C <= pulp_c <= HOTTEST_PULP_C and COLDEST_PULP_C <= meant <= HOTTEST_PULP_C:
        raise Question(
            "pulp_c",
            "A fruit temperature of {pulp:.4g} °C is not possible. Is it {pulp:.4g} °F "
            "({meant:.1f} °C)?",
            suggestion=meant,
            possible=False,
            pulp=pulp_c,
            meant=meant,
        )
