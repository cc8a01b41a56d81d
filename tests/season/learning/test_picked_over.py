"""What stays of a batch that was picked over, and what was taken, against fruit drawn one by one.

The truth is drawn as the program believes in it before the picking: mean age, speed, spread, and a
hand that is off. What then happens to each fruit is followed here by itself: no clock, no
likelihood and no distribution of the program is used.
"""

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.special import expit, logit

from ripenroom.records.check import Check
from ripenroom.science.softening import Floats
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed, TooSoft
from ripenroom.season.belief import AgePosterior
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.populations import PopulationOrigin, Populations, fit_from_age
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.draws import one_in
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, batch_and_move, farm_records, market

FRUIT, FARMS = 40, 200_000
DAYS = 4.0
WITHIN = 1
DAY = "market 0.0"
SPREAD_SD = 0.3
"""How much more fruit of a cultivar may differ than usual, as the program has it (sd of a log)."""


@dataclass(frozen=True)
class Truth:
    """Farms on which as many fruit seemed firm: ages at pick, speed per day, what stayed and what
    was taken. How many were too soft is left open, as ripe fruit goes for more than softness."""

    age: Floats
    able: np.ndarray
    per_day: Floats
    stayed: np.ndarray
    taken: np.ndarray

    def ready(self, days: float, ready_age: float, taken: bool) -> float:
        """Share of what stayed, or was taken, that is ready or past so long after the pick."""
        ripe = self.able & (self.age + self.per_day * days > ready_age)
        own = self.taken if taken else self.stayed
        return float((ripe & own).sum() / own.sum())


def farm(open_season: Open, firm: int, opened: int) -> Season:
    """A batch of 40 at 20 C that was picked four days ago and picked over now."""
    day, wants = market(0.0, {"pawpaw": 30}, eat_within_days=WITHIN)
    batch, move = batch_and_move(
        1, ROOM, count=FRUIT, feel_counts=(0, 20, 10, 0, 0), picked_at=NOW - timedelta(days=DAYS),
        pulp_c=20.0,
    )  # fmt: skip
    season = open_season(*farm_records(), day, *wants, batch, move)
    season.do(
        actions.packing.pack_squeezed,
        day.id,
        [Squeezed(batch.id, opened - firm, firm, 0)],
        NOW,
        TooSoft.THROWN,
    )
    season.learn()
    return season


def drawn(season: Season, firm: int, opened: int) -> Truth:
    """Farms drawn as believed before the picking, on which as many fruit seemed firm."""
    without = season.book.with_changes(deleted=list(season.book.checks.values()))
    projector = Projector(season.crops, season.zone)
    lines = projector.lines(without)
    own, n = lines.batches, lines.ids.index("batch 1")
    crop = projector.constants[CropKind("pawpaw")]
    draw = np.random.default_rng(11)
    mean = draw.normal(own.mean_age[n], own.doubt_sd[n], (FARMS, 1))
    spread = own.fruit_sd[n] * np.exp(draw.normal(0.0, SPREAD_SD, (FARMS, 1)))
    bands = own.ages
    which = draw.choice(bands.part.shape[1], (FARMS, FRUIT), p=bands.part[n] / bands.part[n].sum())
    age = mean + spread * draw.normal(bands.off_sds[n][which], bands.sds[n][which])
    odds = logit(own.ripens[n]) + crop.ripens_sd * draw.standard_normal((FARMS, 1))
    able = draw.random((FARMS, FRUIT)) < expit(odds)
    per_day = own.rate_per_day[n] * np.exp(draw.normal(0.0, own.rate_sd[n], (FARMS, 1)))
    fit_from, hand_sd = fit_from_age(crop, float(WITHIN))
    seems = age + per_day * DAYS + draw.normal(0.0, hand_sd, (FARMS, 1))
    seems += draw.normal(0.0, 0.4 * hand_sd, age.shape)
    seemed_firm = (np.arange(FRUIT) < opened) & (~able | (seems < fit_from))
    alike = seemed_firm.sum(axis=1) == firm
    assert alike.sum() > 1_000
    looked_at = np.arange(FRUIT) < opened
    stayed = ~looked_at | seemed_firm
    taken = ~stayed & (seems < crop.too_soft_age)
    return Truth(age[alike], able[alike], per_day[alike], stayed[alike], taken[alike])


@pytest.mark.long
@pytest.mark.parametrize(("firm", "opened"), one_in(3, [(25, 40), (12, 40), (10, 20)]))
def test_ready_shares_on_later_days_are_those_of_fruit_followed_one_by_one(
    open_season: Open, firm: int, opened: int
) -> None:
    season = farm(open_season, firm, opened)
    truth = drawn(season, firm, opened)
    projector = Projector(season.crops, season.zone, season.learned)
    outlook = projector.outlook(season.book, NOW)
    ready_age = projector.constants[CropKind("pawpaw")].ready_age
    parts = {batch.taken: batch.id for batch in season.book.batches.values()}
    hours = to_hours(NOW) + 24.0 * np.array([0.1, 1.0, 2.0, 3.0, 5.0])
    ready, past = outlook.shares(hours)
    off = {}
    for taken, batch_id in parts.items():
        line = outlook.lines.ids.index(batch_id)
        for n, days in enumerate((0.1, 1.0, 2.0, 3.0, 5.0)):
            expected = float(ready[line, n] + past[line, n])
            off[taken, days] = expected - truth.ready(DAYS + days, ready_age, taken)
    assert max(map(abs, off.values())) < 0.03, off


def test_what_stays_is_younger_than_what_was_taken_and_so_are_its_parts(
    open_season: Open,
) -> None:
    season = farm(open_season, 25, 40)
    [part] = [b for b in season.book.batches.values() if b.taken]
    split = season.do(actions.splitting.split, "batch 1", 10)
    season.learn()
    ages = ages_of(season)
    assert ages["batch 1"].mean_age < ages[part.id].mean_age
    assert ages[split.id].mean_age == pytest.approx(ages["batch 1"].mean_age)
    assert ages["batch 1"].ripens is not None
    assert ages["batch 1"].bands is not None
    season.undo()
    season.undo()
    assert set(season.book.batches) == {"batch 1"}
    season.learn()
    assert not ages_of(season)


def test_a_later_check_tells_of_what_was_left(open_season: Open) -> None:
    season = farm(open_season, 25, 40)
    before = ages_of(season)
    later = Check(
        id="later", batch_id="batch 1", at=NOW, feel_counts=(20, 0, 0, 0, 0), counted=True
    )
    book = season.book.with_changes([replace(later, at=NOW + timedelta(seconds=1))])
    learned = fit(SeasonState(book, season.crops, NOW + timedelta(hours=1), season.zone))
    assert learned.belief is not None
    now = learned.belief.ages
    assert now["batch 1"].mean_age < before["batch 1"].mean_age - 0.2
    assert learned.checks.keys() == {"later", *season.book.checks}


def test_what_was_found_of_a_picking_over_is_kept_for_the_next_fit(open_season: Open) -> None:
    season = farm(open_season, 25, 40)
    again = fit(SeasonState(season.book, season.crops, NOW, season.zone, season.learned))
    fresh = fit(SeasonState(season.book, season.crops, NOW, season.zone))
    kept, made = ages_of(season)["batch 1"], fresh.belief
    assert again.belief is not None
    assert again.belief.ages["batch 1"].bands is kept.bands
    assert made is not None
    assert made.ages["batch 1"].bands is not kept.bands
    assert made.ages["batch 1"].mean_age == pytest.approx(kept.mean_age, abs=1e-6)


def test_populations_follow_one_another(open_season: Open) -> None:
    season = farm(open_season, 25, 40)
    [check] = season.book.checks.values()
    [part] = [b for b in season.book.batches.values() if b.taken]
    populations = Populations(season.book, season.book.checks.values())
    assert populations.before(check) == ("batch 1", PopulationOrigin.PICKED)
    assert populations.of("batch 1") == (check.id, PopulationOrigin.LEFT)
    assert populations.of(part.id) == (check.id, PopulationOrigin.TAKEN)
    uncounted = Populations(season.book, [])
    assert uncounted.of("batch 1") == uncounted.of(part.id) == ("batch 1", PopulationOrigin.PICKED)


def ages_of(season: Season) -> dict[str, AgePosterior]:
    assert season.learned is not None
    belief = season.learned.belief
    return dict(belief.ages) if belief is not None else {}
