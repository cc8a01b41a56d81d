"""Fruit that needs cold or ethylene before it ripens, from its records to what is told of it."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

import numpy as np
import pytest

from ripenroom.records.batch import Batch, Treatment
from ripenroom.records.book import Record
from ripenroom.records.orchard import OwnCrop
from ripenroom.records.place import Place, SetPointChange
from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import NoticeKind
from ripenroom.season.projection import NoDate, no_date
from ripenroom.season.season import Season
from tests.records.crop.made import WINTER, winter_but
from tests.season.conftest import Open
from tests.season.farm import NOW, YESTERDAY, batch_and_move, farm_records

PICKED_H = to_hours(YESTERDAY)
CLOSE_D = 0.05
"""Places of the test cool within minutes, so days at a temperature are days there."""


def place(celsius: float) -> tuple[Place, SetPointChange]:
    key = f"{celsius:g}"
    there = Place(id=key, name=key, kind="cold room", half_cooling_h=0.1)
    at = YESTERDAY - timedelta(days=9)
    return there, SetPointChange(id=f"set {key}", place_id=key, at=at, set_point_c=celsius)


PLACES = [record for celsius in (0.0, 5.0, 10.0, 20.0, 29.0) for record in place(celsius)]


def winter(text: str = WINTER) -> OwnCrop:
    return OwnCrop(id="winter", key="winter", text=text)


def hard(celsius: float, **given: Any) -> Sequence[Record]:
    facts: dict[str, Any] = {"crop": "winter", "code": "X-0930-1", "feel_counts": None, **given}
    return batch_and_move(1, f"{celsius:g}", **facts)


def opening(living: Season) -> tuple[float, float]:
    """Days from the pick until the gate opens and until the batch does; inf, nan for never."""
    p = living.projection()
    return (
        (float(p.gate_opens_h[0]) - PICKED_H) / 24.0,
        (float(p.opens_h.mid[0]) - PICKED_H) / 24.0,
    )


def moved(living: Season, *stays: tuple[float, float]) -> None:
    """Move the batch to each (C) after so many days since its pick."""
    (batch_id,) = living.book.batches
    for celsius, days in stays:
        living.do(actions.moves.move, [batch_id], f"{celsius:g}", YESTERDAY + timedelta(days=days))


@pytest.fixture
def ripening_days(open_season: Open) -> float:
    """Days at 20 C from the pick's age to the opening, with the gate out of the way."""
    ungated = WINTER.partition("[gate]")[0] + "[fruit]" + WINTER.partition("[fruit]")[2]
    return opening(open_season(*PLACES, winter(ungated), *hard(20.0)))[1]


def test_what_needs_no_gate_has_none(open_season: Open) -> None:
    living = open_season(*farm_records(), winter(), *batch_and_move(1))
    assert np.isnan(living.projection().gate_opens_h).all()
    assert np.isnan(living.projection().gate_done).all()


def test_straight_in_the_warm_it_never_ripens(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(20.0))
    gate, opens = opening(living)
    assert gate == np.inf
    assert np.isnan(opens)
    assert np.isnan(living.projection().best_h.mid).all()


def test_cold_opens_it_and_then_the_warm_ripens_it(open_season: Open, ripening_days: float) -> None:
    living = open_season(*PLACES, winter(), *hard(0.0))
    moved(living, (20.0, 40.0))
    gate, opens = opening(living)
    assert gate == pytest.approx(30.0, abs=CLOSE_D)
    # Ten more days in the cold age it by a little more.
    assert 40.0 + ripening_days - 1.5 < opens < 40.0 + ripening_days


def test_at_10_c_cold_works_three_times_as_fast(open_season: Open, ripening_days: float) -> None:
    living = open_season(*PLACES, winter(), *hard(10.0))
    moved(living, (20.0, 10.02))
    gate, opens = opening(living)
    assert gate == pytest.approx(10.0, abs=CLOSE_D)
    assert opens == pytest.approx(10.0 + ripening_days, abs=2.0 * CLOSE_D)


@pytest.mark.parametrize("between_days", [0.0, 6.0])
def test_shares_of_cold_add_up_whatever_comes_between(
    open_season: Open, between_days: float, ripening_days: float
) -> None:
    living = open_season(*PLACES, winter(), *hard(0.0))
    cold_again = 15.0 + between_days
    if between_days:
        moved(living, (20.0, 15.0))
    # A little longer, since the pulp is as cold as its place only after some minutes.
    moved(living, (10.0, cold_again), (20.0, cold_again + 5.02))
    gate, opens = opening(living)
    assert gate == pytest.approx(cold_again + 5.0, abs=CLOSE_D)
    assert opens == pytest.approx(gate + ripening_days, abs=2.0 * CLOSE_D)


def test_too_little_cold_opens_nothing(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(0.0))
    moved(living, (20.0, 29.0))
    gate, opens = opening(living)
    assert gate == np.inf
    assert np.isnan(opens)


def test_an_ethylene_treatment_opens_it(open_season: Open, ripening_days: float) -> None:
    living = open_season(*PLACES, winter(), *hard(20.0))
    (batch_id,) = living.book.batches
    before = living.projection()
    living.do(actions.batches.treat, [batch_id], 60.0, YESTERDAY + timedelta(days=1))
    gate, opens = opening(living)
    assert gate == pytest.approx(1.0 + 2.0, abs=1e-6)  # two days of it do
    assert opens == pytest.approx(3.0 + ripening_days, abs=CLOSE_D)
    living.undo()
    np.testing.assert_array_equal(living.projection().gate_opens_h, before.gate_opens_h)
    living.redo()
    assert opening(living)[0] == pytest.approx(3.0, abs=1e-6)


def test_treatments_add_up(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(20.0))
    (batch_id,) = living.book.batches
    living.do(actions.batches.treat, [batch_id], 30.0, YESTERDAY)
    assert opening(living)[0] == np.inf
    living.do(actions.batches.treat, [batch_id], 30.0, YESTERDAY + timedelta(days=4))
    assert opening(living)[0] == pytest.approx(4.0 + 18.0 / 24.0, abs=1e-6)


def test_part_of_a_treatment_does_its_part(open_season: Open) -> None:
    """Half of the cold, and half of the two days of ethylene."""
    living = open_season(*PLACES, winter(), *hard(0.0))
    (batch_id,) = living.book.batches
    moved(living, (20.0, 15.0))
    living.do(actions.batches.treat, [batch_id], 20.0, YESTERDAY + timedelta(days=16))
    assert opening(living)[0] == np.inf
    living.do(actions.batches.treat, [batch_id], 10.0, YESTERDAY + timedelta(days=18))
    assert opening(living)[0] == pytest.approx(18.0 + 4.0 / 24.0, abs=2.0 * CLOSE_D)


WIDE = winter_but(
    "none_above_c = 15",
    "none_above_c = 15\n"
    'width = { value = 0.3, low = 0.2, high = 0.5, unit = "of the need", source = "made" }',
)


def test_the_longer_a_treatment_the_sooner_the_fruit_and_without_a_step(
    open_season: Open, ripening_days: float
) -> None:
    """Where fruit differ in what they need, all of a treatment opens all of the gate."""
    meanwhile = "meanwhile = { value = 0.1, low = 0.05, high = 0.2"
    text = WIDE.replace("meanwhile = { value = 0, low = 0, high = 0", meanwhile)
    living = open_season(*PLACES, winter(text), *hard(20.0))
    (batch_id,) = living.book.batches
    days = []
    for hours in (1.0, 24.0, 30.0, 36.0, 42.0, 48.0, 60.0):
        living.do(actions.batches.treat, [batch_id], hours, YESTERDAY)
        days.append(opening(living)[1])
        living.undo()
    assert np.isnan(days[0]) or days[0] > days[1]
    days = days[1:]
    # Six hours more never halve it, and beyond a whole treatment nothing is gained.
    ratios = np.array(days[1:]) / np.array(days[:-1])
    assert (ratios > 0.5).all()
    assert (np.diff(days[:-1]) < 0.0).all()
    assert days[-1] == pytest.approx(days[-2], abs=CLOSE_D)
    assert days[-1] < ripening_days + 2.0


def test_what_cold_has_opened_a_later_treatment_does_not_shut(open_season: Open) -> None:
    treatment = Treatment(id="t", batch_id="batch 1", at=YESTERDAY + timedelta(days=50), hours=48.0)
    living = open_season(*PLACES, winter(), *hard(0.0), treatment)
    assert opening(living)[0] == pytest.approx(30.0, abs=CLOSE_D)


def test_meanwhile_it_ripens_at_its_share(open_season: Open, ripening_days: float) -> None:
    quarter = winter_but("meanwhile = { value = 0, low = 0, high = 0", "meanwhile = { value = 0.25, low = 0.2, high = 0.3")  # fmt: skip  # noqa: E501
    living = open_season(*PLACES, winter(quarter), *hard(20.0))
    gate, opens = opening(living)
    assert gate == np.inf
    assert opens == pytest.approx(4.0 * ripening_days, abs=4.0 * CLOSE_D)
    moved(living, (10.0, 2.0), (20.0, 12.02))
    gate, opens = opening(living)
    assert gate == pytest.approx(12.0, abs=CLOSE_D)
    assert 12.0 + ripening_days - 2.5 < opens < 12.0 + ripening_days - 0.5


def test_doubt_about_the_gate_widens_the_ranges(open_season: Open) -> None:
    sure = winter_but("value = 10, low = 8, high = 12", "value = 10, low = 10, high = 10")
    sure = sure.replace("value = 30, low = 24, high = 36", "value = 30, low = 30, high = 30")
    widths, middles = [], []
    for text in (sure, WINTER):
        opens = open_season(*PLACES, winter(text), *hard(10.0)).projection().opens_h
        widths.append(float(opens.high[0] - opens.low[0]) / 24.0)
        middles.append(float(opens.mid[0]))
    assert middles[0] == pytest.approx(middles[1], abs=0.1)
    # Four days of doubt about when it opens, beside what else is in doubt.
    assert widths[1] == pytest.approx(np.hypot(widths[0], 4.0), abs=0.25)


@pytest.mark.parametrize("cold_days", [25.0, 26.0, 27.0])
def test_it_is_ready_no_sooner_than_with_the_least_need_and_the_fastest_speed(
    open_season: Open, cold_days: float
) -> None:
    """Where too little of the cold was met the middle is weeks away, and fruit that may be ready
    far sooner is not for that ready on the day of its pick."""
    meanwhile = "meanwhile = { value = 0.04, low = 0, high = 0.15"
    doubtful = WIDE.replace("meanwhile = { value = 0, low = 0, high = 0", meanwhile)
    doubtful = doubtful.replace("low = 0.5, high = 0.72", "low = 0.3, high = 1.2")
    need = "value = 30, low = 24, high = 36"
    soonest = []
    for days in ("value = 30, low = 15, high = 60", "value = 15, low = 15, high = 15"):
        living = open_season(*PLACES, winter(doubtful.replace(need, days)), *hard(0.0))
        moved(living, (20.0, cold_days))
        soonest.append(float(living.projection().opens_h.low[0]) - PICKED_H)
    assert soonest[0] > soonest[1] - 24.0 * CLOSE_D > 24.0 * cold_days


@pytest.mark.parametrize("cold_days", [0.0, 14.0, 18.0])
def test_of_what_hardly_goes_on_no_date_is_told(open_season: Open, cold_days: float) -> None:
    """Winter pears without their cold shrivel rather than ripen (common practice, no source)."""
    meanwhile = "meanwhile = { value = 0.04, low = 0, high = 0.15"
    text = WIDE.replace("meanwhile = { value = 0, low = 0, high = 0", meanwhile)
    living = open_season(*PLACES, winter(text), *hard(0.0 if cold_days else 20.0))
    if cold_days:
        moved(living, (20.0, cold_days))
    projection = living.projection()
    assert np.isnan(projection.opens_h.mid).all()
    assert no_date(projection, 0) is NoDate.GATE


RIPER = winter_but(
    "none_above_c = 15",
    "none_above_c = 15\n"
    'per_age = { value = 0.5, low = 0.4, high = 0.6, unit = "times per age", source = "made" }',
)
"""Fruit that is riper by one age needs half of the cold."""


def aged_n(age: float) -> float:
    """Firmness of the winter pear at an age beyond its usual one."""
    usual = np.log((80.0 - 62.0) / (62.0 - 2.0))
    return float(2.0 + 78.0 / (1.0 + np.exp(usual + age)))


@pytest.mark.parametrize(("age", "times"), [(-1.0, 2.0), (0.0, 1.0), (1.0, 0.5), (-3.0, 2.0)])
def test_the_riper_it_was_picked_the_less_cold_it_needs(
    open_season: Open, age: float, times: float
) -> None:
    """A hundred readings of one firmness, so that next to no doubt about its age is left."""
    readings = (aged_n(age),) * 100
    measured = {"readings": readings, "reading_unit": "N", "probe_mm": 8.0, "count": 100}
    living = open_season(*PLACES, winter(RIPER), *hard(0.0, **measured))
    gate, _ = opening(living)
    assert gate == pytest.approx(30.0 * times, rel=0.04)
    p = living.projection()
    assert p.gate_times[0] == pytest.approx(times, rel=0.04)
    living.read_as_on(YESTERDAY + timedelta(days=9))
    assert living.projection().gate_done[0] == pytest.approx(0.3 / times, rel=0.05)
    # What is still needed is told in days of this batch.
    moved(living, (20.0, 9.0))
    living.read_as_on(YESTERDAY + timedelta(days=12))
    told = notice(living, NoticeKind.GATE)
    assert told.values["days"] == pytest.approx(10.0 * (times - 0.3), abs=0.4)


def test_how_much_of_the_cold_is_done_by_now(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(0.0))
    for days, done in ((0.0, 0.0), (6.0, 0.2), (15.0, 0.5), (80.0, 1.0)):
        living.read_as_on(YESTERDAY + timedelta(days=days))
        assert living.projection().gate_done[0] == pytest.approx(done, abs=0.01)
    (batch_id,) = living.book.batches
    living.do(actions.batches.treat, [batch_id], 48.0, YESTERDAY)
    living.read_as_on(YESTERDAY + timedelta(days=3))
    assert living.projection().gate_done[0] == 1.0


def test_dragging_a_set_point_across_the_gate(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(20.0))
    cold = living.preview_set_point("20", 8.0)
    assert np.isfinite(cold.gate_opens_h[0])
    assert np.isinf(living.projection().gate_opens_h[0])
    living.do(actions.places.set_set_point, "20", 8.0)
    assert living.projection().gate_opens_h[0] == pytest.approx(cold.gate_opens_h[0], abs=1e-3)
    assert living.projection().gate_done[0] == pytest.approx(cold.gate_done[0], abs=1e-3)


def test_gated_and_other_batches_side_by_side(open_season: Open) -> None:
    plain = batch_and_move(2, "20", crop="pawpaw")
    alone = open_season(*PLACES, *plain).projection()
    mixed = open_season(*PLACES, winter(), *hard(20.0), *plain).projection()
    line = mixed.line_of["batch 2"]
    assert np.isnan(mixed.gate_opens_h[line])
    for name in ("opens_h", "best_h", "closes_h"):
        for part in ("low", "mid", "high"):
            one = getattr(getattr(alone, name), part)[0]
            other = getattr(getattr(mixed, name), part)[line]
            assert one == pytest.approx(other, abs=0.01), name


# What is told


def notice(living: Season, kind: NoticeKind) -> Any:
    found = [n for n in living.notices() if n.kind is kind]
    return found[0] if found else None


def test_what_never_gets_its_cold_is_told(open_season: Open) -> None:
    living = open_season(*PLACES, winter(), *hard(0.0))
    assert notice(living, NoticeKind.GATE) is None
    moved(living, (20.0, 9.0))
    living.read_as_on(YESTERDAY + timedelta(days=20))
    told = notice(living, NoticeKind.GATE)
    assert told.batch_id == "batch 1"
    assert told.values["done"] == pytest.approx(0.3, abs=0.01)
    assert told.values["days"] == pytest.approx(7.0, abs=0.1)  # of the ten at 10 C
    assert told.values["at_c"] == 10.0
    # Of the two days that it takes, less what the cold has done.
    assert told.values["ethylene_days"] == pytest.approx(0.7 * 2.0, abs=0.02)
    (batch_id,) = living.book.batches
    living.do(actions.batches.treat, [batch_id], 48.0, YESTERDAY + timedelta(days=21))
    assert notice(living, NoticeKind.GATE) is None


def test_what_only_cold_opens_is_told_without_ethylene(open_season: Open) -> None:
    line = next(line for line in WINTER.splitlines() if line.startswith("ethylene_days"))
    living = open_season(*PLACES, winter(winter_but(line, "")), *hard(20.0))
    assert "ethylene_days" not in notice(living, NoticeKind.GATE).values


def test_a_place_too_warm_for_a_crop_is_told_once(open_season: Open) -> None:
    second = batch_and_move(2, "29", crop="winter", code="X-0930-2", count=5, feel_counts=None)
    elsewhere = batch_and_move(3, "20", crop="winter", code="X-0930-3", feel_counts=None)
    living = open_season(*PLACES, winter(), *hard(29.0), *second, *elsewhere)
    told = [n for n in living.notices() if n.kind is NoticeKind.HEAT]
    assert [(n.place_id, n.crop, n.batch_id) for n in told] == [("29", "winter", None)]
    assert told[0].values == {"left": 25.0, "warmest_c": 29.0, "limit_c": 28.0}
    living.do(actions.moves.move, ["batch 1", "batch 2"], "20", NOW)
    assert notice(living, NoticeKind.HEAT) is None


@pytest.mark.parametrize(("swing_k", "stop_c"), [(12.9, None), (13.0, 33.0)])
def test_a_place_where_ripening_stops_is_told_so(
    open_season: Open, swing_k: float, stop_c: float | None
) -> None:
    bin_ = Place(id="b", name="Bin", kind="field bin", half_cooling_h=3.0, daily_swing_k=swing_k)
    set_point = SetPointChange(id="s", place_id="b", at=YESTERDAY, set_point_c=20.0)
    batch, move = batch_and_move(1, "b", crop="winter", feel_counts=None)
    living = open_season(winter(), bin_, set_point, batch, move)
    assert notice(living, NoticeKind.HEAT).values.get("stop_c") == stop_c


@pytest.mark.parametrize(("swing_k", "told"), [(7.9, False), (8.0, True)])
def test_the_warmest_hour_of_a_day_counts(open_season: Open, swing_k: float, told: bool) -> None:
    bin_ = Place(id="b", name="Bin", kind="field bin", half_cooling_h=3.0, daily_swing_k=swing_k)
    set_point = SetPointChange(id="s", place_id="b", at=YESTERDAY, set_point_c=20.0)
    batch, move = batch_and_move(1, "b", crop="winter", feel_counts=None)
    living = open_season(winter(), bin_, set_point, batch, move)
    assert (notice(living, NoticeKind.HEAT) is not None) == told


def test_a_batch_keeps_its_facts(open_season: Open) -> None:
    """A gate is no reason to lose the story or the supply of a batch."""
    living = open_season(*PLACES, winter(), *hard(0.0))
    moved(living, (20.0, 35.0))
    batch: Batch = living.book.batches["batch 1"]
    living.read_as_on(YESTERDAY + timedelta(days=44))
    story = living.story(batch.id)
    firmness = np.interp(PICKED_H + np.array([0.0, 29.0, 35.0, 44.0]) * 24.0, story.hours, story.firmness_n)  # fmt: skip  # noqa: E501
    assert firmness[0] == pytest.approx(firmness[1], abs=0.5)  # as hard as it was picked
    assert firmness[2] < firmness[1]
    assert firmness[3] < 30.0
