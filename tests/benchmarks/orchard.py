"""Rows of trees: 200 rows, 90 days, 300 walks with their picks; in ratios to bare ndtr."""

import numpy as np
from scipy.special import ndtr

from ripenroom.science.orchard.pick_forecast import forecast
from ripenroom.science.orchard.row_fit import learn, learn_cultivar
from tests.benchmarks.timing import median_ms, say
from tests.outside.orchard_coverage import before_season, sightings_of
from tests.outside.true_orchard import TrueOrchard

CULTIVARS, ROWS_EACH, DAYS, WALKS = 10, 20, 90, 300


def run() -> None:
    """Print the figures."""
    orchard = TrueOrchard(CULTIVARS, ROWS_EACH, seed=1)
    rng = np.random.default_rng(2)
    rows = CULTIVARS * ROWS_EACH
    for _ in range(WALKS + 1):
        orchard.look(int(rng.integers(0, rows)), float(rng.uniform(115.0, 150.0)), pick=True)
    known, book, before = before_season(orchard)
    seen, more = sightings_of(orchard.seen[:-1]), sightings_of(orchard.seen)
    belief = learn(known, book, before, seen)
    days = np.tile(130.0 + np.arange(float(DAYS)), (rows, 1))
    row = orchard.seen[-1].row
    cultivar = orchard.rows[row].cultivar
    forecast_ms = median_ms(lambda _: forecast(belief, days))
    one_ms = median_ms(lambda _: learn_cultivar(belief, cultivar, before, more))
    anew_ms = median_ms(lambda _: learn(known, book, before, more), 3)
    normal = rng.standard_normal((5 * rows, DAYS))
    bare_ms = median_ms(lambda _: ndtr(normal))
    say(f"{rows} rows x {DAYS} days: forecast with ranges (aim: 50)", f"{forecast_ms:.1f} ms")
    say(f"  after one walk of {WALKS}: its cultivar again (aim: 100)", f"{one_ms:.1f} ms")
    say("  all rows anew", f"{anew_ms:.1f} ms")
    say(f"  bare ndtr of {normal.size} values: five numbers a row and day", f"{bare_ms:.1f} ms")
    say("  forecast, times that", f"{forecast_ms / bare_ms:.1f}")
    say("  its cultivar again, times that", f"{one_ms / bare_ms:.1f}")
