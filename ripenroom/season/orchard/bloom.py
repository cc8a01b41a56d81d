"""When rows bloomed: the day that was noted, or a guess with its doubt, and what it goes by."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from statistics import median

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.science.orchard.heat import warm_from
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.found import Bloom, BloomSource, RowFacts
from ripenroom.season.orchard.heat import daily_temperatures
from ripenroom.season.orchard.usual import BLOOM_C, BLOOM_SD_DAYS, needs_of
from ripenroom.season.state import SeasonState

_SOME, _ODD_SD, _FIRST_LOOK_DAYS = 0.1, 3.0, 30
"""Part of the fruit of a walk that gives, in sds how far a day of bloom may lie off, and by how
many days the first look may have come late."""

_YEAR_DAYS = 330
"""Spring is looked for in so many days before the season's first one."""


def blooms(
    state: SeasonState, rows: Sequence[RowFacts], picks: Mapping[str, tuple[Batch, ...]]
) -> list[Bloom]:
    """When each row bloomed. Where nobody noted it: as other rows of its cultivar, or else of its
    crop; as warm as spring was; before its first walk or pick; or before the season began."""
    noted: dict[str, list[int]] = {}
    for facts in rows:
        if facts.row.bloomed_on is not None:
            for key in (f"cultivar {facts.row.cultivar_id}", f"crop {facts.crop}"):
                noted.setdefault(key, []).append(facts.row.bloomed_on.toordinal())
    springs = {facts.crop: _by_spring(state, facts.crop or "") for facts in rows}

    def bloom(facts: RowFacts) -> Bloom:
        if facts.row.bloomed_on is not None:
            return Bloom(facts.row.bloomed_on, BLOOM_SD_DAYS["noted"], "noted")
        if days := noted.get(f"cultivar {facts.row.cultivar_id}"):
            return _guess(date.fromordinal(round(median(days))), "cultivar")
        if days := noted.get(f"crop {facts.crop}"):
            return _guess(date.fromordinal(round(median(days))), "crop")
        if (spring := springs[facts.crop]) is not None:
            return _guess(spring, "spring")
        needs = timedelta(days=round(needs_of(facts.crop or "").days))
        if (first := _first_look(facts, picks.get(facts.row.id, ()))) is not None:
            return _guess(local_day(first, state.zone) - needs, "walk")
        return _guess(state.book.season.first_day - needs, "season")

    return [bloom(facts) for facts in rows]


def fits(state: SeasonState, facts: RowFacts, bloom: Bloom, picks: Sequence[Batch]) -> bool:
    """Whether a row's first fruit with give lies about as long after its bloom as its crop takes;
    true where none was seen."""
    found = [
        walk.at
        for walk in facts.walks
        if walk.feel_counts and sum(walk.feel_counts[1:]) >= _SOME * sum(walk.feel_counts)
    ]
    found += [batch.picked_at for batch in picks]
    if not found:
        return True
    needs = needs_of(facts.crop or "")
    took = (local_day(min(found), state.zone) - bloom.on).days
    off = _ODD_SD * needs.days_sd
    return needs.days - off <= took <= needs.days + off + _FIRST_LOOK_DAYS


def _guess(on: date, by: BloomSource) -> Bloom:
    return Bloom(on, BLOOM_SD_DAYS[by], by)


def _first_look(facts: RowFacts, picks: tuple[Batch, ...]) -> datetime | None:
    looked = [walk.at for walk in facts.walks] + [batch.picked_at for batch in picks]
    return min(looked, default=None)


def _by_spring(state: SeasonState, crop: str) -> date | None:
    if crop not in BLOOM_C:
        return None
    first = state.book.season.first_day - timedelta(days=_YEAR_DAYS)
    low, high = daily_temperatures(state.book, first, _YEAR_DAYS)
    place = warm_from((low + high) / 2.0, BLOOM_C[crop])
    return None if np.isnan(place) else first + timedelta(days=int(place))
