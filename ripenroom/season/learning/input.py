"""From a book's checks to the farm that is to be learned, and which record each number is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.clock import Indices
from ripenroom.science.gate import in_days_that_count
from ripenroom.science.gate_opening import doubt_of_opening
from ripenroom.science.learning.model import CheckColumns, FarmModel, HarvestUnknowns
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.softening import Floats
from ripenroom.science.sorted_harvests import SortedHarvests, sorted_harvests
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.kinds import CropKind
from ripenroom.season.learning.check_rows import CheckRows, check_rows, oldest_first
from ripenroom.season.learning.likelihoods import NodeCache, first_of, likelihoods_of
from ripenroom.season.learning.populations import (
    AbleSoFar,
    Known,
    Population,
    Populations,
    Way,
    sortings_of,
)
from ripenroom.season.learning.priors import LearningPriors, kinds
from ripenroom.season.moments import column


@dataclass(frozen=True, slots=True)
class LearningInput:
    """A farm, and what its numbers are.

    ``checks`` are those that can be looked at, ``counted`` first; the ``farm`` has only these.
    ``every`` has all of them. What picking over left or took is a harvest of its own, whose age
    is that at its beginning (``begins``).
    ``line`` is the line of each harvest's first batch, ``members`` the batches that are of it now
    and ``kind_of`` their kinds by id, ``line_of_check`` the line of each check's own batch.
    ``known_h`` is when each harvest was last checked, its beginning if never. ``laid``,
    ``known`` and ``rows`` are what need not be worked out again for checks that stay as they are.
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
    known: Known
    rows: CheckRows


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
    known = Known() if before is None else before.known.next(again=able is not None)
    line_of = {batch_id: n for n, batch_id in enumerate(lines.ids)}
    of_line = [lines.kinds[kind] for kind in lines.kind.tolist()]
    kind_of = dict(zip(lines.ids, of_line, strict=True))
    rows = check_rows(book, now, lines, constants, before.rows if before is not None else None)
    checks, counted, at_h, own_line = rows.checks, rows.counted, rows.at_h, rows.line
    populations = Populations(book, checks[:counted])
    if populations.pickings:
        of_check = [populations.before(check) for check in checks]
        number, members, first = _members(book, populations, of_check, line_of)
        harvest = np.array([number[own] for own in of_check], dtype=np.intp)
    else:
        number, harvest, members, first = rows.by_harvest()
    line = np.array([line_of[batch.id] for batch in first], dtype=np.intp)

    used = np.unique(lines.kind[np.concatenate([own_line, line])])
    asked_of = {lines.kinds[kind] for kind in used.tolist()} | _of_lessons(book, constants)
    of_kind = kinds(book, sorted(asked_of, key=lambda k: (k.crop, k.group or "")), constants)
    number_of = {one: n for n, one in enumerate(of_kind.crop_kinds)}
    slope_sd = np.array(of_kind.slope_sd, dtype=float)
    number_of_kind = np.array([number_of.get(kind, -1) for kind in lines.kinds], dtype=np.intp)
    number_of_check = number_of_kind[lines.kind[own_line]]

    known_h = travel.batches.picked_h[line].copy()
    begun = np.array([own.way is not Way.PICKED for own in number], dtype=bool)
    began = [populations.pickings[own.root] for own in number if own.way is not Way.PICKED]
    known_h[begun] = column(check.at for check in began)
    since_h = np.where(begun, known_h, np.nan)
    np.maximum.at(known_h, harvest[:counted], at_h[:counted])
    cultivar_number = {key: n for n, key in enumerate(of_kind.cultivar_keys)}
    harvests = HarvestUnknowns(
        cultivar=np.array(
            [cultivar_number[_cultivar(kind_of[b.id], b, cultivar_number)] for b in first], np.intp
        ),
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
    kinds_of_first = [kind_of[b.id] for b in first]
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
        [constants[kind] for kind in kinds_of_first],
        kinds_of_first,
        able or AbleSoFar(),
    )
    begins = sorted_harvests(
        unchecked,
        begun_days,
        begun_slope_days,
        travel.batches.ripens[line],
        travel.batches.ages.of(line),
        sortings,
        known.after,
    )
    harvests, ripens = begins.harvests, begins.ripens
    days, slope_days = _gained(travel, own_line, at_h)
    days, slope_days = days - begins.days[harvest], slope_days - begins.slope_days[harvest]
    slope = slope_sd[number_of_check] * slope_days / np.maximum(days, 1e-9)
    likelihoods, laid = likelihoods_of(
        checks,
        [constants[one] for one in of_kind.crop_kinds],
        number_of_check,
        replace(
            travel.batches.of(own_line),
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
    )


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
) -> tuple[dict[Population, int], tuple[tuple[Batch, ...], ...], list[Batch]]:
    """The number of each population that was checked, or came of picking over; the batches that
    are of it now, and one that is or was: the whole or oldest part."""
    harvests = {own for own in of_check if own.way is Way.PICKED}
    now: dict[Population, list[Batch]] = {own: [] for own in of_check}
    ever: dict[Population, list[Batch]] = {own: [] for own in of_check}
    for batch in book.batches.values():
        if batch.id not in line_of:
            continue
        own = populations.of(batch.id)
        if own in now or own.way is not Way.PICKED:
            now.setdefault(own, []).append(batch)
            ever.setdefault(own, [])
        harvest = populations.harvest(batch.id)
        if harvest in harvests:
            ever[harvest].append(batch)
    for own, some in ever.items():
        if own.way is not Way.PICKED:
            some += [book.batches[populations.pickings[own.root].batch_id]]

    # By time, so that what came of picking over comes after what it came of.
    order = sorted(now, key=lambda own: (own.way is not Way.PICKED, populations.began(own), own))
    number = {own: n for n, own in enumerate(order)}
    return (
        number,
        tuple(tuple(sorted(now[own], key=oldest_first)) for own in order),
        [min(ever[own], key=oldest_first) for own in order],
    )


def _cultivar(
    kind: CropKind, batch: Batch, known: Mapping[tuple[CropKind, str | None], int]
) -> tuple[CropKind, str | None]:
    key = kind, batch.cultivar_id
    return key if key in known else (kind, None)
