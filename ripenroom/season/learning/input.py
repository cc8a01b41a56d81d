"""From a book's checks to the farm that is to be learned, and which record each number is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.clock import Indices
from ripenroom.science.gate_opening import doubt_of_opening
from ripenroom.science.gated_ageing import in_days_that_count
from ripenroom.science.learning.model import CheckColumns, FarmModel, HarvestUnknowns
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.softening import Floats
from ripenroom.science.sorted_harvests import SortedHarvests, sorted_harvests
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.check_rows import (
    CheckRows,
    CheckTable,
    check_rows,
    in_both,
    oldest_first,
)
from ripenroom.season.learning.likelihoods import NodeCache, first_of, likelihoods_of
from ripenroom.season.learning.populations import (
    AbleSoFar,
    PickingOverCache,
    Population,
    PopulationOrigin,
    Populations,
    sortings_of,
)
from ripenroom.season.learning.priors import LearningPriors, kinds
from ripenroom.season.moments import column


@dataclass(frozen=True, slots=True)
class LearningInput:
    """The farm that is learned of, as arrays, and which record each line stands for.

    ``checks`` are those that can be looked at, ``counted`` first; the ``farm`` has only these.
    ``every`` has all of them. What picking over left or took is a harvest of its own, whose age
    is that at its beginning (``begins``).
    ``line`` is the line of each harvest's first batch, ``members`` the batches that are of it now
    and ``kind_of`` their kinds by id, ``line_of_check`` the line of each check's own batch.
    ``known_h`` is when each harvest was last checked, its beginning if never. ``laid``,
    ``known``, ``rows`` and ``gains`` are what need not be worked out again for checks that stay as
    they are.
    """

    kinds: LearningPriors
    farm: FarmModel
    every: CheckColumns
    checks: tuple[Check, ...]
    counted: int
    at_h: Floats
    harvest_ids: tuple[Population, ...]
    members: tuple[tuple[Batch, ...], ...]
    line: Indices
    line_of_check: Indices
    kind_of: Mapping[str, CropKind]
    known_h: Floats
    unlearnable: tuple[str, ...]
    laid: NodeCache
    begins: SortedHarvests
    known: PickingOverCache
    rows: CheckRows
    gains: "Gains"


def learning_input(
    book: Book,
    now: datetime,
    lines: BatchColumns,
    travel: BatchAgeing,
    constants: ConstantsOfCrops,
    before: "LearningInput | None" = None,
    able: AbleSoFar | None = None,
) -> LearningInput:
    """What the checks of a book ask. ``lines`` and ``travel`` are by the book alone.

    ``before``, what an earlier state of the book asked, makes it faster. ``able`` is what was found
    by then of how much can ripen, if the same book is asked ``before``, and again now.
    """
    known = PickingOverCache() if before is None else before.known.next(again=able is not None)
    rows = check_rows(book, now, lines, constants, before.rows if before is not None else None)
    line_of, kind_of = rows.harvests.line_of, rows.harvests.kind_of
    table, counted = rows.looked_at, rows.counted
    checks, at_h, own_line = tuple(table.checks), table.at_h, table.line
    picking = np.flatnonzero(table.picks_over[:counted])
    populations = Populations(book, [checks[n] for n in picking.tolist()])
    number, harvest, members, first = (
        rows.checked.number,
        rows.harvest,
        rows.checked.members,
        rows.checked.first,
    )
    if populations.pickings:
        of_check = [populations.before(check) for check in checks]
        number, members, first = _members(book, populations, of_check, line_of)
        harvest = np.array([number[own] for own in of_check], dtype=np.intp)
    line = np.array([line_of[batch.id] for batch in first], dtype=np.intp)

    used = np.unique(lines.kind[np.concatenate([own_line, line])])
    asked_of = {lines.kinds[kind] for kind in used.tolist()} | _of_lessons(book, constants)
    of_kind = kinds(book, sorted(asked_of, key=lambda k: (k.crop, k.group or "")), constants)
    number_of = {one: n for n, one in enumerate(of_kind.crop_kinds)}
    slope_sd = np.array(of_kind.slope_sd, dtype=float)
    number_of_kind = np.array([number_of.get(kind, -1) for kind in lines.kinds], dtype=np.intp)
    number_of_check = number_of_kind[lines.kind[own_line]]

    known_h = travel.batches.picked_h[line].copy()
    begun = np.array([own.origin is not PopulationOrigin.PICKED for own in number], dtype=bool)
    began = [
        populations.pickings[own.root]
        for own in number
        if own.origin is not PopulationOrigin.PICKED
    ]
    known_h[begun] = column(check.at for check in began)
    since_h = np.where(begun, known_h, np.nan)
    np.maximum.at(known_h, harvest[:counted], at_h[:counted])
    cultivar_number = {key: n for n, key in enumerate(of_kind.cultivar_keys)}
    kinds_of_first = [kind_of[batch.id] for batch in first]
    cultivars = [
        (kind, batch.cultivar_id) if (kind, batch.cultivar_id) in cultivar_number else (kind, None)
        for kind, batch in zip(kinds_of_first, first, strict=True)
    ]
    harvests = HarvestUnknowns(
        cultivar=np.array([cultivar_number[key] for key in cultivars], dtype=np.intp),
        age=travel.batches.mean_age[line],
        age_sd=np.hypot(
            travel.batches.doubt_sd[line],
            doubt_of_opening(travel.ageing.of(line), travel.batches.rate_per_day[line], known_h),
        ),
        fruit_sd=travel.batches.fruit_sd[line],
    )
    unchecked = FarmModel(
        of_kind.crops, of_kind.cultivars, of_kind.told, harvests, CheckColumns.none()
    )
    begun_days = begun_slope_days = np.zeros(line.size)
    if begun.any():
        from_h = np.where(begun, since_h, travel.batches.picked_h[line])
        begun_days, begun_slope_days = (
            np.where(begun, x, 0.0) for x in _gained(travel, line, from_h)
        )
    sortings = sortings_of(
        unchecked,
        populations,
        number,
        constants,
        kinds_of_first,
        able or AbleSoFar(),
    )
    begins = sorted_harvests(
        unchecked,
        begun_days,
        begun_slope_days,
        travel.batches.ripens[line],
        # Of harvests as they were picked they are asked only where something came of one.
        travel.batches.ages.of(line if sortings else line[:0]),
        sortings,
        known.after,
    )
    harvests, ripens = begins.harvests, begins.ripens
    gains = _gains_of(table, travel, before.gains if before is not None else None)
    days, slope_days = gains.days, gains.slope_days
    days, slope_days = days - begins.days[harvest], slope_days - begins.slope_days[harvest]
    slope = slope_sd[number_of_check] * slope_days / np.maximum(days, 1e-9)
    likelihoods, laid = likelihoods_of(
        table,
        [constants[one] for one in of_kind.crop_kinds],
        number_of_check,
        replace(
            replace(travel.batches, bands=None).of(own_line),
            fruit_sd=np.where(begun, harvests.fruit_sd, travel.batches.fruit_sd[line])[harvest],
            ripens=ripens[harvest],
        ),
        of_kind.own_able_sd[number_of_check],
        before.laid if before is not None else None,
    )
    every = CheckColumns(harvest, days, slope, likelihoods)
    only = CheckColumns(
        harvest[:counted], days[:counted], slope[:counted], first_of(likelihoods, counted)
    )
    farm = FarmModel(of_kind.crops, of_kind.cultivars, of_kind.told, harvests, only)
    return LearningInput(
        of_kind,
        farm,
        every,
        checks,
        counted,
        at_h,
        tuple(number),
        members,
        line,
        own_line,
        kind_of,
        known_h,
        rows.unlearnable,
        laid,
        begins,
        known,
        rows,
        gains,
    )


@dataclass(frozen=True, slots=True)
class Gains:
    """Reference days and slope days that the batches of checks had gained by then, (checks,), of
    which ``records``, along which ``travel``."""

    travel: BatchAgeing
    records: Indices
    days: Floats
    slope_days: Floats


def _gains_of(table: CheckTable, travel: BatchAgeing, before: Gains | None) -> Gains:
    """What each check's batch had gained; taken over from ``before`` where nothing is other."""
    records = table.records
    days, slope_days = (np.full(records.size, np.nan) for _ in range(2))
    if before is not None and before.travel is travel:
        here, there = in_both(records, before.records)
        days[here], slope_days[here] = before.days[there], before.slope_days[there]
    new = np.flatnonzero(np.isnan(days))
    if new.size:
        days[new], slope_days[new] = _gained(travel, table.line[new], table.at_h[new])
    return Gains(travel, records, days, slope_days)


def _gained(travel: BatchAgeing, line: Indices, at_h: Floats) -> tuple[Floats, Floats]:
    """Reference days, and slope days, that lines have gained since their picks by an hour each."""
    ageing, slope = travel.ageing.of(line), travel.slope.of(line)
    days = ageing.at(at_h[:, None])[:, 0]
    return days, in_days_that_count(ageing, slope, at_h[:, None])[:, 0]


def _tells(crop: CropConstants) -> bool:
    """Whether fruit of a crop shows how far on it is; where only dates are known it does not."""
    return crop.felt or crop.probed


def _of_lessons(book: Book, constants: ConstantsOfCrops) -> set[CropKind]:
    """The kinds that lessons say anything of: their crops, and those of the cultivars they name."""
    lessons = [x for x in book.lessons.values() if CropKind(x.crop) in constants]
    lessons = [lesson for lesson in lessons if _tells(constants[CropKind(lesson.crop)])]
    named = {(lesson.crop, lesson.cultivar.casefold()) for lesson in lessons if lesson.cultivar}
    return {CropKind(lesson.crop) for lesson in lessons} | {
        constants.kind_of(cultivar.crop, cultivar.id, book)
        for cultivar in book.cultivars.values()
        if (cultivar.crop, cultivar.name.casefold()) in named
    }


def _members(
    book: Book,
    populations: Populations,
    of_check: Sequence[Population],
    line_of: Mapping[str, int],
) -> tuple[dict[Population, int], tuple[tuple[Batch, ...], ...], tuple[Batch, ...]]:
    """The number of each population that was checked, or came of picking over; the batches that
    are of it now, and one that is or was: the whole or oldest part."""
    harvests = {own for own in of_check if own.origin is PopulationOrigin.PICKED}
    now: dict[Population, list[Batch]] = {own: [] for own in of_check}
    ever: dict[Population, list[Batch]] = {own: [] for own in of_check}
    for batch in book.batches.values():
        if batch.id not in line_of:
            continue
        own = populations.of(batch.id)
        if own in now or own.origin is not PopulationOrigin.PICKED:
            now.setdefault(own, []).append(batch)
            ever.setdefault(own, [])
        harvest = populations.harvest(batch.id)
        if harvest in harvests:
            ever[harvest].append(batch)
    for own, some in ever.items():
        if own.origin is not PopulationOrigin.PICKED:
            some += [book.batches[populations.pickings[own.root].batch_id]]

    # By time, so that what came of picking over comes after what it came of.
    order = sorted(
        now,
        key=lambda own: (own.origin is not PopulationOrigin.PICKED, populations.began(own), own),
    )
    number = {own: n for n, own in enumerate(order)}
    return (
        number,
        tuple(tuple(sorted(now[own], key=oldest_first)) for own in order),
        tuple(min(ever[own], key=oldest_first) for own in order),
    )
