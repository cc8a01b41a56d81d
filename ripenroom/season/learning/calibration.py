"""Past forecasts held to what was found: how often the 80 % range was right, and how far off."""

import threading
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from itertools import groupby

import numpy as np

from ripenroom.records.batch import Brought
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.science.ready import still_good
from ripenroom.science.spread import IN_RANGE, TAIL_80, chance_sd, sds_off
from ripenroom.season.learned import CheckKind, Estimate, Learned
from ripenroom.season.learning.fit import fit
from ripenroom.season.moments import local_day, to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

RANGE_Z = TAIL_80
"""The ``z`` at both ends of a forecast's range."""


class ForecastKind(StrEnum):
    """What a forecast is held to."""

    FEEL = "feel"
    READINGS = "readings"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class CheckedForecast:
    """One forecast and what was found.

    Made from all that was written down before the day of ``at_h`` (h); ``known_checks`` checks of
    its crop had been counted by then. For hand feel the share of the fruit that felt ``from_feel``
    or softer, for readings the mean firmness (N), for a market the share of the fruit brought that
    was not past. ``early_days`` is how many days ahead of the forecast the fruit was (negative:
    behind), at the warmth it was kept in; nan for markets.
    """

    outcome: ForecastKind
    source_id: str  # of the check, or of the market day
    batch_id: str
    at_h: float
    known_checks: int
    from_feel: int | None
    expected: Estimate
    observed: float
    inside: bool
    z: float
    early_days: float


class Width(StrEnum):
    """How wide ranges are, by how often they held."""

    UNKNOWN = "unknown"
    RIGHT = "right"
    TOO_NARROW = "too narrow"
    TOO_WIDE = "too wide"


_FEW_FORECASTS = 8
"""Of fewer, how often ranges held is mostly luck."""

_MORE_THAN_LUCK = 2.0
"""So many sds of pure luck from 80 %, the ranges are too narrow or too wide."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """All forecasts that can be held to something, earliest first.

    ``inside`` is the share of them whose 80 % range held (nan without any), ``drift_days`` the
    middle of how many days fruit was ahead of its forecast, ``worst`` numbers the rows that missed
    by most.
    """

    rows: tuple[CheckedForecast, ...]
    inside: float
    drift_days: float
    worst: tuple[int, ...]

    @property
    def width(self) -> Width:
        """Whether the ranges held as often as ranges of 80 % should."""
        if len(self.rows) < _FEW_FORECASTS:
            return Width.UNKNOWN
        luck = _MORE_THAN_LUCK * chance_sd(IN_RANGE, len(self.rows))
        if self.inside < IN_RANGE - luck:
            return Width.TOO_NARROW
        return Width.TOO_WIDE if self.inside > IN_RANGE + luck else Width.RIGHT


class MarketForecasts:
    """Forecasts of market days from what was ``learned`` before them."""

    def __init__(self, state: SeasonState) -> None:
        self._book = state.book
        self._outlook = Projector.of(state).outlook(state.book, state.now)
        self._line_of = {key: n for n, key in enumerate(self._outlook.lines.ids)}

    def row(self, brought: Brought, known_checks: int) -> CheckedForecast | None:
        """What was brought beside its forecast; None where the batch has none.

        Good is what was not thrown away.
        """
        line = self._line_of.get(brought.batch_id)
        if line is None:
            return None
        book = self._book
        at_h = to_hours(book.market_days[brought.market_day_id].starts_at)
        expected = self._good(line, at_h, brought.count)
        thrown = sum(
            removal.count
            for removal in book.removals.values()
            if (removal.batch_id, removal.market_day_id, removal.outcome)
            == (brought.batch_id, brought.market_day_id, "discarded")
        )
        good = 1.0 - min(thrown / brought.count, 1.0)
        return CheckedForecast(
            outcome=ForecastKind.MARKET,
            source_id=brought.market_day_id,
            batch_id=brought.batch_id,
            at_h=at_h,
            known_checks=known_checks,
            from_feel=None,
            expected=expected,
            observed=good,
            inside=expected.low <= good <= expected.high,
            z=sds_off(expected.mid - good, expected.low, expected.high),
            early_days=float("nan"),
        )

    def _good(self, line: int, at_h: float, count: int) -> Estimate:
        """Share that is not past at an hour, with all doubt and the chance in so many fruit."""
        outlook, own = self._outlook, np.array([line])
        gained = outlook.gained(np.array([at_h])).of(own)
        return Estimate(*still_good(outlook.batches.of(own), gained, count))


_WORST = 10
"""Misses that are named, at most."""


def calibration(state: SeasonState, cancel: threading.Event | None = None) -> Calibration:
    """Every counted check, and every market day that was settled, beside its forecast.

    Each forecast is made from the checks of the days before, along the way that the batch really
    went. Raises :class:`~ripenroom.science.learning.posterior.Cancelled` soon after ``cancel`` is
    set. Costs one fit for each day on which there was something to find.
    """
    checks = [
        check
        for check in state.book.checks.values()
        if check.counted and check.at <= state.now and check.batch_id in state.book.batches
    ]
    settled = {
        d.id for d in state.book.market_days.values() if d.settled_at and d.starts_at <= state.now
    }
    brought = [b for b in state.book.brought.values() if b.market_day_id in settled and b.count]
    events: list[tuple[datetime, Check | Brought]] = [(check.at, check) for check in checks]
    events += [(state.book.market_days[b.market_day_id].starts_at, b) for b in brought]
    events.sort(key=lambda event: (event[0], event[1].id))

    def day(event: tuple[datetime, Check | Brought]) -> date:
        return local_day(event[0], state.zone)

    rows: list[CheckedForecast] = []
    known: dict[str, Check] = {}
    known_of = Counter[str]()
    learned: Learned | None = None
    for _, of_day in groupby(events, key=day):
        found = [record for _, record in of_day]
        today = [record for record in found if isinstance(record, Check)]
        others = known | {check.id: replace(check, counted=False) for check in today}
        before = replace(state, book=replace(state.book, checks=others), learned=learned)
        learned = fit(before, cancel)
        rows += _of_checks(learned, today, state.book, known_of)
        markets = [record for record in found if isinstance(record, Brought)]
        if markets:
            forecasts = MarketForecasts(replace(before, learned=learned))
            rows += [
                row
                for b in markets
                if (row := forecasts.row(b, known_of[_crop(b.batch_id, state.book)])) is not None
            ]
        known |= {check.id: check for check in today}
        known_of.update(_crop(check.batch_id, state.book) for check in today)
    return _summed_up(rows)


def _of_checks(
    learned: Learned, today: Sequence[Check], book: Book, known_of: Counter[str]
) -> list[CheckedForecast]:
    rows = []
    for check in today:
        fit_of = learned.checks.get(check.id)
        if fit_of is None:
            continue
        rows.append(
            CheckedForecast(
                outcome=ForecastKind.FEEL
                if fit_of.kind is CheckKind.FEEL
                else ForecastKind.READINGS,
                source_id=check.id,
                batch_id=check.batch_id,
                at_h=to_hours(check.at),
                known_checks=known_of[_crop(check.batch_id, book)],
                from_feel=fit_of.from_feel,
                expected=fit_of.expected,
                observed=fit_of.observed,
                inside=fit_of.expected.low <= fit_of.observed <= fit_of.expected.high,
                z=fit_of.z,
                early_days=fit_of.ahead_days,
            )
        )
    return rows


def _crop(batch_id: str, book: Book) -> str:
    """Key of a batch's crop; empty where the batch is gone."""
    batch = book.batches.get(batch_id)
    return batch.crop if batch is not None else ""


def _summed_up(rows: Sequence[CheckedForecast]) -> Calibration:
    early = [row.early_days for row in rows if np.isfinite(row.early_days)]
    missed = sorted(
        (n for n, row in enumerate(rows) if not row.inside), key=lambda n: -abs(rows[n].z)
    )
    return Calibration(
        rows=tuple(rows),
        inside=float(np.mean([row.inside for row in rows])) if rows else float("nan"),
        drift_days=float(np.median(early)) if early else float("nan"),
        worst=tuple(missed[:_WORST]),
    )
