"""What one packing tells of how much can ripen: of the other batches, and of what it left.

Truths are drawn as the program believes before the packing; what the hand then leaves is counted
fruit by fruit.
"""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.special import expit, logit

from ripenroom.records.check import Check
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.advice.advice import CheckReason
from ripenroom.season.advice.check_next import check_next, worth_checking
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.populations import fit_from_age
from ripenroom.season.projection import FruitState, NoDate, Projection, no_date
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, batch_and_move, farm_records, market

FRUIT, FARMS = 60, 150_000
DAYS, WITHIN = 4.0, 3
PICK = (2, 12, 6, 0, 0)
SPREAD_SD = 0.3
PAWPAW = CropKind("pawpaw")


def packed(open_season: Open, firm: int) -> Season:
    """Two batches of the same pick, of which one was packed from now: so many seemed too firm."""
    day, wants = market(0.0, {"pawpaw": 40}, eat_within_days=WITHIN)
    batches = [
        record
        for number in (1, 2)
        for record in batch_and_move(
            number, ROOM, count=FRUIT, feel_counts=PICK, picked_at=NOW - timedelta(days=DAYS),
            pulp_c=20.0,
        )
    ]  # fmt: skip
    season = open_season(*farm_records(), day, *wants, *batches)
    squeezed = [Squeezed("batch 1", FRUIT - firm, firm, 0)]
    season.do(actions.packing.pack_squeezed, day.id, squeezed, NOW)
    season.learn()
    return season


def drawn(season: Season, firm: int) -> tuple[float, float]:
    """Of farms on which as many seemed firm: the mean of what all batches share in the log of the
    odds that fruit can ripen, and the share of firm fruit that never will."""
    bare = season.book.with_changes(deleted=list(season.book.checks.values()))
    projector = Projector(season.crops, season.zone)
    lines, crop = projector.lines(bare), projector.constants[PAWPAW]
    own, n = lines.batches, lines.ids.index("batch 2")
    draw = np.random.default_rng(21)

    def normal(sd: float, *shape: int) -> np.ndarray:
        return sd * draw.standard_normal((FARMS, *(shape or (1,))))

    age = own.mean_age[n] + normal(own.doubt_sd[n])
    per_day = own.rate_per_day[n] * np.exp(normal(own.rate_sd[n]))
    fruit_sd = own.fruit_sd[n] * np.exp(normal(SPREAD_SD))
    shared = normal(crop.ripens_sd * np.sqrt(2.0 / 3.0))
    odds = logit(own.ripens[n]) + shared + normal(crop.ripens_sd * np.sqrt(1.0 / 3.0))
    able = draw.random((FARMS, FRUIT)) < expit(odds)
    fit_from, hand_sd = fit_from_age(crop, float(WITHIN))
    seems = age + per_day * DAYS + normal(hand_sd) + fruit_sd * normal(1.0, FRUIT)
    seems += normal(0.4 * hand_sd, FRUIT)
    left = ~able | (seems < fit_from)
    alike = left.sum(axis=1) == firm
    assert alike.sum() > 500
    never = float((~able & left)[alike].sum() / (firm * alike.sum()))
    return float(shared[alike].mean()), never


@pytest.mark.parametrize("firm", [12, 25])
def test_one_packing_tells_of_other_batches_as_much_as_it_does(
    open_season: Open, firm: int
) -> None:
    season = packed(open_season, firm)
    shared, never = drawn(season, firm)
    assert season.learned is not None
    assert season.learned.belief is not None
    crop = Projector(season.crops, season.zone).constants[PAWPAW]
    off = season.learned.belief.able[PAWPAW].log_odds - shared
    # The log of the odds is skew, and its mode is taken for its mean.
    assert abs(off) < 0.25 * crop.ripens_sd * np.sqrt(2.0 / 3.0)
    projection, line = shown(season)
    assert float(projection.wont_ripen[line]) == pytest.approx(never, abs=0.03)


def shown(season: Season, at_days: float = 0.0) -> tuple[Projection, int]:
    """The projection some days later, and the line of what was left."""
    projector = Projector(season.crops, season.zone, season.learned)
    now = NOW + timedelta(days=at_days)
    projection = projector.projection(projector.outlook(season.book, now), now)
    return projection, projection.line_of["batch 1"]


def test_what_was_left_may_not_ripen_until_it_was_squeezed_again(open_season: Open) -> None:
    season = packed(open_season, 12)
    projection, line = shown(season)
    assert projection.wont_ripen[line] > 0.5
    assert projection.state[line] == FruitState.WONT_RIPEN
    assert no_date(projection, line) is NoDate.MAY_NOT_RIPEN
    again_days = float(projection.squeeze_again_h[line] - projection.at_h) / 24.0
    assert 1.0 <= again_days <= 10.0
    assert "batch 1" not in worth_checking(season.book, projection)

    now = NOW + timedelta(days=again_days, hours=1)
    state = SeasonState(season.book, season.crops, now, season.zone, season.learned)
    assert "batch 1" in worth_checking(season.book, shown(season, again_days)[0])
    [check] = [one for one in check_next(state) if one.batch_id == "batch 1"]
    assert (check.reason, check.fruit) == (CheckReason.RIPENS, 8)

    hard = Check(
        id="hard", batch_id="batch 1", at=NOW + timedelta(days=again_days),
        feel_counts=(12, 0, 0, 0, 0), counted=True,
    )  # fmt: skip
    book = season.book.with_changes([hard])
    learned = fit(replace(state, book=book, learned=None))
    projector = Projector(season.crops, season.zone, learned)
    later = projector.projection(projector.outlook(book, now), now)
    assert no_date(later, later.line_of["batch 1"]) is NoDate.WONT_RIPEN
    assert np.isnan(later.squeeze_again_h[later.line_of["batch 1"]])
