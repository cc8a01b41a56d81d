"""Past forecasts held to what was found: how often the 80 % range was right, and how far off."""

import threading
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from itertools import groupby

import numpy as np

from ripenroom.records.batch import Brought
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.season.learned import CheckKind, Learned
from ripenroom.season.learning.calibration_found import Calibration, CheckedForecast, ForecastKind
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.market_forecast import MarketForecasts
from ripenroom.season.moments import local_day, to_hours
from ripenroom.season.state import SeasonState

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
