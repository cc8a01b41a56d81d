"""One crate of fruit carried from place to place, as an open season sees it.

The whole way is taken: a season file is made, places, pick and moves are written down, and the
projection is read. Containers cool within minutes, because published trials give the temperature
of the fruit's room and mean that of the fruit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from ripenroom.records.batch import FEELS
from ripenroom.records.book import new_id
from ripenroom.records.entry import PickEntry
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import EndCause, Ranged
from ripenroom.season.season import Season

PICKED_AT = datetime(2025, 9, 10, 14, tzinfo=UTC)

FOR_GOOD = 1000.0
"""Days of a last stay."""

Stay = tuple[float, float]
"""Degrees Celsius, and days there."""


def readings_around(mean_n: float) -> tuple[float, ...]:
    """Ten gauge readings (N) evenly spread over 6 % either way: no ten fruit read alike."""
    return tuple(np.linspace(0.94 * mean_n, 1.06 * mean_n, 10).tolist())


@dataclass(frozen=True, slots=True)
class Days:
    """A date in days since the pick with its 80 % range; ``nan`` where it never comes."""

    low: float
    mid: float
    high: float

    @property
    def never(self) -> bool:
        """Whether the date never comes."""
        return bool(np.isnan(self.mid))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What becomes of the crate; ``firmness_n`` is of its middle fruit after each asked day.

    ``able_days`` is when the cold or the trigger that it needs is done, in days since the pick:
    ``inf`` where it never is, ``nan`` where the crop needs none.
    """

    opens: Days
    closes: Days
    cause: EndCause
    able_days: float
    wont_ripen: float
    ready_at_best: float
    firmness_n: tuple[float, ...]


def follow(
    crop: str,
    stays: Sequence[Stay],
    *,
    feel: str | None = None,
    readings_n: Sequence[float] = (),
    asked_days: Sequence[float] = (),
    ethylene_h: float = 0.0,
) -> Outcome:
    """A crate of 20 fruit of one feel, or of the given gauge readings, through ``stays``.

    For ``ethylene_h`` hours after the pick it is given ethylene.
    """
    with TemporaryDirectory() as folder:
        # The curve of a batch reaches some days beyond now, so now is the last day asked for.
        now = PICKED_AT + timedelta(days=max(asked_days, default=0.0))
        living = Season.create(Path(folder) / "crate.ripenroom", _season(now))
        try:
            batch_id = _carry(living, _entry(crop, feel, readings_n), stays)
            if ethylene_h:
                living.do(actions.batches.treat, [batch_id], ethylene_h, PICKED_AT)
            return _outcome(living, batch_id, asked_days)
        finally:
            living.close()


def _season(now: datetime) -> SeasonDetails:
    return SeasonDetails(
        id=new_id(),
        name="Outside",
        zone="America/New_York",
        first_day=date(2025, 8, 1),
        units="metric",
        currency="USD",
        practice_now=now,
    )


def _entry(crop: str, feel: str | None, readings_n: Sequence[float]) -> PickEntry:
    a, b, c, d, e = (20 if name == feel else 0 for name in FEELS)
    return PickEntry(
        crop=crop,
        place_id="0",
        picked_at=PICKED_AT,
        count=20,
        feel_counts=(a, b, c, d, e) if feel else None,
        readings=tuple(readings_n),
        reading_unit="N" if readings_n else None,
        probe_mm=8.0 if readings_n else None,
    )


def _carry(living: Season, entry: PickEntry, stays: Sequence[Stay]) -> str:
    """Write down the pick in its first place and all moves; the batch's id."""
    lasting = [(celsius, days) for celsius, days in stays if days > 0.0]
    for number, (celsius, _) in enumerate(lasting):
        place = Place(id=str(number), name=f"Place {number}", kind="cold room", half_cooling_h=0.1)
        living.do(actions.places.save, place, celsius)
    (batch,) = living.do(actions.picks.add, entry)
    leaves = PICKED_AT
    for number, (_, days) in enumerate(lasting[:-1], start=1):
        leaves += timedelta(days=days)
        living.do(actions.moves.move, [batch.id], str(number), leaves)
    return batch.id


def _outcome(living: Season, batch_id: str, asked_days: Sequence[float]) -> Outcome:
    projection = living.projection()
    picked_h = to_hours(PICKED_AT)

    def days(dates: Ranged) -> Days:
        low, mid, high = (
            (float(column[0]) - picked_h) / 24.0 for column in (dates.low, dates.mid, dates.high)
        )
        return Days(low, mid, high)

    firmness_n: tuple[float, ...] = ()
    if asked_days:
        story = living.story(batch_id)
        asked_h = picked_h + 24.0 * np.array(asked_days, dtype=float)
        firmness_n = tuple(np.interp(asked_h, story.hours, story.firmness_n).tolist())
    return Outcome(
        opens=days(projection.opens_h),
        closes=days(projection.closes_h),
        cause=EndCause(int(projection.end_cause[0])),
        able_days=(float(projection.gate_opens_h[0]) - picked_h) / 24.0,
        wont_ripen=float(projection.wont_ripen[0]),
        ready_at_best=float(projection.ready_at_best.mid[0]),
        firmness_n=firmness_n,
    )
