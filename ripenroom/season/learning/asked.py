"""From a book's checks to the farm that is to be learned, and which record each number is."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.clock import Indices
from ripenroom.science.gate import AnyAgeing, GatedAgeing, in_days_that_count
from ripenroom.science.learning.farm import Checks, Farm, Harvests
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.crop_constants import ConstantsOfCrops, CropConstants
from ripenroom.season.kinds import CropKind
from ripenroom.season.learning.likelihoods import Laid, first_of, likelihoods_of
from ripenroom.season.learning.priors import Kinds, kinds
from ripenroom.season.lines import Lines
from ripenroom.season.moments import CLOCK_SLACK, column
from ripenroom.season.outlook import Travel
from ripenroom.season.parts import harvest_of


@dataclass(frozen=True, slots=True)
class Asked:
    """A farm, and what its numbers are.

    ``checks`` are those that can be looked at, ``counted`` first; the ``farm`` has only these.
    ``every`` has all of them. ``line`` is the line of each harvest's first batch, ``members`` the
    batches of each harvest and ``kind_of`` their kinds by id, ``line_of_check`` the line of each
    check's own batch. ``known_h`` is
    when each harvest was last checked, its pick if never. ``laid`` is what need not be worked out
    again for checks that stay as they are.
    """

    kinds: Kinds
    farm: Farm
    every: Checks
    checks: tuple[Check, ...]
    counted: int
    at_h: Floats
    harvest_ids: tuple[str, ...]
    members: tuple[tuple[Batch, ...], ...]
    line: Indices
    line_of_check: Indices
    kind_of: Mapping[str, CropKind]
    known_h: Floats
    unlearnable: tuple[str, ...]
    laid: Laid


def asked(
    book: Book,
    now: datetime,
    lines: Lines,
    travel: Travel,
    constants: ConstantsOfCrops,
    before: "Asked | None" = None,
) -> Asked:
    """What the checks of a book ask. ``lines`` and ``travel`` are by the book alone.

    ``before``, what an earlier state of the book asked, makes it faster.
    """
    line_of = {batch_id: n for n, batch_id in enumerate(lines.ids)}
    checks, unlearnable = _usable(book, now, line_of, constants)
    batches = [book.batches[check.batch_id] for check in checks]
    roots = [harvest_of(batch.id, book.batches) for batch in batches]
    number = {root: n for n, root in enumerate(dict.fromkeys(roots))}
    members = _members(book, number, line_of)
    line = np.array([line_of[own[0].id] for own in members], dtype=np.intp)
    harvest = np.array([number[root] for root in roots], dtype=np.intp)

    at_h = column(check.at for check in checks)
    kind_of = {
        batch.id: constants.kind_of(batch.crop, batch.cultivar_id, book)
        for own in members
        for batch in own
    }
    first = [own[0] for own in members]
    asked_of = {kind_of[batch.id] for batch in [*batches, *first]} | _of_lessons(book, constants)
    of_kind = kinds(book, sorted(asked_of, key=lambda k: (k.crop, k.group or "")), constants)
    own_line = np.array([line_of[b.id] for b in batches], dtype=np.intp)
    ageing = travel.ageing.of(own_line)
    days = ageing.at(at_h[:, None])[:, 0]
    lean = in_days_that_count(ageing, travel.slope.of(own_line), at_h[:, None])[:, 0]
    number_of = {one: n for n, one in enumerate(of_kind.crop_kinds)}
    number_of_check = np.array([number_of[kind_of[b.id]] for b in batches], dtype=np.intp)
    slope_sd = np.array(of_kind.slope_sd, dtype=float)[number_of_check]
    slope = slope_sd * lean / np.maximum(days, 1e-9)

    counted = sum(check.counted for check in checks)
    known_h = travel.batches.picked_h[line].copy()
    np.maximum.at(known_h, harvest[:counted], at_h[:counted])
    cultivar_number = {key: n for n, key in enumerate(of_kind.cultivar_keys)}
    harvests = Harvests(
        cultivar=np.array(
            [cultivar_number[_cultivar(kind_of[b.id], b, cultivar_number)] for b in first], np.intp
        ),
        age=travel.batches.mean_age[line],
        age_sd=np.hypot(travel.batches.doubt_sd[line], _gate_doubt(travel, line, known_h)),
        fruit_sd=travel.batches.fruit_sd[line],
    )
    likelihoods, laid = likelihoods_of(
        checks,
        [constants[one] for one in of_kind.crop_kinds],
        number_of_check,
        travel.batches.of(own_line),
        before.laid if before is not None else None,
    )
    every = Checks(harvest, days, slope, likelihoods)
    only = Checks(
        harvest[:counted], days[:counted], slope[:counted], first_of(likelihoods, counted)
    )
    farm = Farm(of_kind.crops, of_kind.cultivars, of_kind.told, harvests, only)
    return Asked(
        of_kind,
        farm,
        every,
        tuple(checks),
        counted,
        at_h,
        tuple(number),
        members,
        line,
        own_line,
        kind_of,
        known_h,
        unlearnable,
        laid,
    )


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


def _usable(
    book: Book, now: datetime, line_of: Mapping[str, int], constants: ConstantsOfCrops
) -> tuple[list[Check], tuple[str, ...]]:
    """Checks that can be looked at, those that count first, and the ids of all others."""
    usable, others = [], []
    latest = now + CLOCK_SLACK
    for check in book.checks.values():
        batch = book.batches.get(check.batch_id)
        if batch is None or batch.id not in line_of:
            others.append(check.id)
            continue
        crop = constants.of_batch(batch, book)
        told = (crop.probed and check.readings) or (crop.felt and any(check.feel_counts or ()))
        if told and batch.picked_at <= check.at <= latest:
            usable.append(check)
        else:
            others.append(check.id)
    # By time, so that the order in which a file gives its records changes no digit.
    usable.sort(key=lambda check: (not check.counted, check.at, check.id))
    return usable, tuple(others)


def _members(
    book: Book, number: Mapping[str, int], line_of: Mapping[str, int]
) -> tuple[tuple[Batch, ...], ...]:
    """All batches of each harvest that wait somewhere: the whole or oldest part first."""
    found: list[list[Batch]] = [[] for _ in number]
    for batch in book.batches.values():
        which = number.get(harvest_of(batch.id, book.batches))
        if which is not None and batch.id in line_of:
            found[which].append(batch)
    return tuple(
        tuple(sorted(own, key=lambda b: (b.split_from is not None, b.code, b.id))) for own in found
    )


def _cultivar(
    kind: CropKind, batch: Batch, known: Mapping[tuple[CropKind, str | None], int]
) -> tuple[CropKind, str | None]:
    key = kind, batch.cultivar_id
    return key if key in known else (kind, None)


def _gate_doubt(travel: Travel, line: Indices, known_h: Floats) -> Floats:
    """What not knowing when a gate opened adds to the doubt about age, where it was checked since.

    A gate that opened earlier makes fruit older by the same from then on, as an older pick does.
    """
    ageing: AnyAgeing = travel.ageing.of(line)
    if not isinstance(ageing, GatedAgeing):
        return np.zeros(line.size)
    opened = known_h[:, None] >= ageing.opens_high_h
    early, late = (
        ageing.opening_at(np.where(opened, end_h, ageing.opens_h)).at(known_h[:, None])[:, 0]
        for end_h in (ageing.opens_low_h, ageing.opens_high_h)
    )
    apart = travel.batches.rate_per_day[line] * np.abs(early - late) / (2.0 * TAIL_80)
    return np.asarray(apart)
