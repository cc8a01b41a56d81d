"""How much of what was brought to a market was expected not to be past."""

import numpy as np

from ripenroom.records.batch import Brought
from ripenroom.science.ready import still_good
from ripenroom.science.spread import sds_off
from ripenroom.season.learned import Estimate
from ripenroom.season.learning.calibration_found import CheckedForecast, ForecastKind
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState


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
