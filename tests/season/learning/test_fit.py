"""From records to what they taught: whom a check teaches about, and whom not."""

import math
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.check import Lesson
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import Figure
from ripenroom.records.orchard import Cultivar
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.learning.feel import FeltChecks
from ripenroom.science.learning.posterior import Cancelled
from ripenroom.science.softening import Floats
from ripenroom.season.learning.fit import fit
from ripenroom.season.state import SeasonState
from tests.benchmarks.learning import checked_book
from tests.season.farm import COLD, NOW, SLIGHT_GIVE, batch_and_move
from tests.season.learning.checks import CROPS, FAST, MOSTLY_SOFT, ZONE, check, farm, learned


def test_without_checks_there_is_nothing_to_learn() -> None:
    found = learned(farm())
    assert (found.rates, dict(found.batches), dict(found.checks)) == ((), {}, {})
    assert found.rate_of("pawpaw", "early") is None


def test_soft_fruit_makes_its_cultivar_faster_and_narrows_it() -> None:
    rate = learned(farm(*FAST)).rate_of("pawpaw", "early")
    assert rate is not None
    assert rate.factor.mid > 1.1
    assert rate.factor.high / rate.factor.low < 0.8 * rate.book_high / rate.book_low
    assert rate.book == pytest.approx(1.0)
    assert (rate.checks, rate.batches) == (3, 2)


def test_other_cultivars_of_the_crop_learn_less_and_other_crops_nothing() -> None:
    late = Cultivar(id="late", crop="pawpaw", name="Late")
    found = learned(farm(*FAST, late))
    early, other = found.rate_of("pawpaw", "early"), found.rate_of("pawpaw", "late")
    assert early is not None
    assert other is not None
    assert 1.0 < other.factor.mid < early.factor.mid
    assert other.log_rate_sd > early.log_rate_sd
    assert other.checks == 0
    assert found.rate_of("pear", "pears") is None


def test_a_cultivars_own_factor_is_where_it_starts_from() -> None:
    quick = Cultivar(id="early", crop="pawpaw", name="Early", rate_factor=1.5)
    rate = learned(farm(*FAST, quick)).rate_of("pawpaw", "early")
    assert rate is not None
    assert rate.book == pytest.approx(1.5)


def test_lessons_move_where_it_starts_from_and_are_named() -> None:
    lesson = Lesson(
        id="x",
        crop="pawpaw",
        cultivar="early",
        log_rate=math.log(1.4),
        log_rate_sd=0.05,
        checks=30,
        taught_by="2025",
    )
    rate = learned(farm(lesson)).rate_of("pawpaw", "early")
    assert rate is not None
    assert rate.book == rate.factor.mid
    assert 1.2 < rate.book < 1.4
    assert rate.taught_by == ("2025",)


def test_batches_that_were_checked_are_told_apart() -> None:
    found = learned(farm(*FAST))
    assert found.batches["batch 1"].checks == 2
    assert "batch 2" not in found.batches


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"at": NOW - timedelta(days=9)}, "before the pick"),
        ({"at": NOW + timedelta(days=1)}, "ahead"),
        ({"batch_id": "no batch"}, "no batch"),
        ({"feel_counts": None}, "nothing told"),
    ],
)
def test_what_cannot_be_learned_from_is_named(given: dict[str, object], reason: str) -> None:
    found = learned(farm(check(1, 1, 2.0, SLIGHT_GIVE, **given)))
    assert found.unlearnable == ("check 1",), reason
    assert dict(found.checks) == {}


def test_of_a_crop_that_has_dates_alone_nothing_is_learned() -> None:
    apple, move = batch_and_move(7, COLD, crop="apple", feel_counts=None)
    found = learned(farm(apple, move, check(1, 7, 0.5, SLIGHT_GIVE)))
    assert found.unlearnable == ("check 1",)


def test_a_check_that_does_not_count_teaches_nothing_but_is_looked_at() -> None:
    off = check(4, 2, 3.0, MOSTLY_SOFT, counted=False)
    found, without = learned(farm(*FAST, off)), learned(farm(*FAST))
    assert found.rates == without.rates
    assert not found.checks["check 4"].counted
    assert "batch 2" not in found.batches


def test_parts_of_one_harvest_share_their_age() -> None:
    part, move = batch_and_move(8, COLD, picked_at=NOW - timedelta(days=6), split_from="batch 1")
    found = learned(farm(part, replace(move, place_id=COLD), *FAST))
    assert found.batches["batch 8"].mean_age == found.batches["batch 1"].mean_age
    assert found.batches["batch 8"].checks == 2


def test_one_check_more_from_before_is_the_same_to_the_bit_as_anew() -> None:
    book = farm(*FAST)
    more = book.with_changes((check(9, 2, 2.0, MOSTLY_SOFT),))
    anew = learned(more)
    on = learned(more, start=learned(book))
    assert on.rates == anew.rates
    assert dict(on.batches) == dict(anew.batches)
    assert dict(on.checks) == dict(anew.checks)


def test_checks_that_contradict_one_another_teach_the_same_whenever_they_were_made() -> None:
    """They leave two hills, and a search that began at the answer before them ends on the other."""
    hard, soft = check(9, 1, 0.0, (2, 9, 6, 0, 0)), check(10, 0, 0.0, (0, 0, 2, 14, 4))
    book = farm(*FAST, hard, soft)
    one_by_one = learned(book, start=learned(farm(*FAST, hard), start=learned(farm(*FAST))))
    assert one_by_one.rates == learned(book).rates


def test_the_order_of_records_changes_nothing() -> None:
    book = farm(*FAST)
    turned = replace(book, checks=dict(reversed(list(book.checks.items()))))
    assert learned(turned).rates == learned(book).rates


def test_it_can_be_called_off() -> None:
    called_off = threading.Event()
    called_off.set()
    with pytest.raises(Cancelled):
        fit(SeasonState(farm(*FAST), CROPS, NOW, ZONE), called_off)


def test_kiwifruit_is_learned_from_what_counts_behind_its_gate() -> None:
    """Fruit that had no cold hardly softens: firm fruit after two weeks says little about speed."""
    kiwi, move = batch_and_move(
        5,
        "room",
        crop="kiwifruit",
        picked_at=NOW - timedelta(days=14),
        feel_counts=None,
        readings=(70.0, 68.0, 72.0, 69.0),
        reading_unit="N",
    )
    seen = check(1, 5, 0.1, None, readings=(68.0, 70.0, 66.0, 69.0), reading_unit="N")  # type: ignore[arg-type]
    rate = learned(farm(kiwi, move, seen)).rate_of("kiwifruit", None)
    assert rate is not None
    assert rate.factor.mid == pytest.approx(1.0, abs=0.15)


def test_fruit_long_past_says_nothing_against_a_faster_rate() -> None:
    late = [check(20 + n, n % 3, 0.1 * n, (0, 0, 0, 0, 20)) for n in range(6)]
    book = farm(*FAST, *late)
    with_late = learned(book, NOW + timedelta(days=60)).rate_of("pawpaw", "early")
    assert with_late is not None
    assert with_late.factor.mid > 1.1
    far = [replace(c, at=c.at + timedelta(days=50)) for c in late]
    found = learned(farm(*FAST, *far), NOW + timedelta(days=60))
    rate, alone = found.rate_of("pawpaw", "early"), learned(farm(*FAST)).rate_of("pawpaw", "early")
    assert rate is not None
    assert alone is not None
    assert rate.log_rate == pytest.approx(alone.log_rate, abs=1e-3)
    assert found.surprising == ()


def test_a_large_mixed_season_is_recovered() -> None:
    """All crops soften 1.3 times as fast as the book; checks come at any time, long past too."""
    book = checked_book(150)
    now = book.season.practice_now
    assert now is not None
    found = fit(SeasonState(book, CROPS, now, ZONE))
    checked = [rate for rate in found.rates if rate.checks > 50]
    assert len(checked) >= 4
    for rate in checked:
        assert abs(rate.log_rate - math.log(1.3)) < 3.0 * rate.log_rate_sd, rate
        assert rate.log_rate_sd < 0.1
    assert len(found.surprising) < 0.02 * len(found.checks)


def test_two_fits_from_the_same_start_do_not_get_into_each_others_way() -> None:
    book = farm(*FAST)
    before = learned(book)
    books = [book.with_changes((check(30 + n, 2, 0.5 * n, MOSTLY_SOFT),)) for n in range(4)]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda b: learned(b, start=before), books))
    for one, alone in zip(found, (learned(b, start=before) for b in books), strict=True):
        assert one.rates == alone.rates


def _exact(figure: Figure) -> Figure:
    return replace(figure, low=figure.value, high=figure.value)


def test_a_crop_given_without_any_range_is_learned_of_all_the_same() -> None:
    rate = CROPS["pawpaw"].rate
    assert rate.activation_kj_mol is not None
    exact = replace(
        rate, per_day=_exact(rate.per_day), activation_kj_mol=_exact(rate.activation_kj_mol)
    )
    crops = {**CROPS, "pawpaw": replace(CROPS["pawpaw"], rate=exact)}
    found = fit(SeasonState(farm(*FAST), crops, NOW, ZONE)).rate_of("pawpaw", "early")
    assert found is not None
    assert found.factor.mid == pytest.approx(1.0, abs=0.05)


def test_lessons_of_a_crop_of_which_only_dates_are_known_teach_nothing() -> None:
    lesson = Lesson(
        id="x",
        crop="apple",
        cultivar=None,
        log_rate=1.0,
        log_rate_sd=0.05,
        checks=9,
        taught_by="2025",
    )
    assert learned(farm(lesson)).rates == ()
    assert learned(farm(*FAST, lesson)).rate_of("apple", None) is None


def test_one_check_more_is_learned_by_looking_at_few_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    looked_at = [0]
    expand = FeltChecks.expand

    def counting(self: FeltChecks, checks: Indices, *at: Floats) -> Expansion:
        looked_at[0] += checks.size
        return expand(self, checks, *at)

    monkeypatch.setattr(FeltChecks, "expand", counting)
    book, crops, zone = checked_book(90), shipped_profiles(), ZoneInfo("UTC")
    now = book.season.practice_now
    assert now is not None
    first = fit(SeasonState(book, crops, now, zone))
    some = next(iter(book.checks.values()))
    one_more = replace(some, id="more", at=some.at + timedelta(hours=1))
    state = SeasonState(book.with_changes((one_more,)), crops, now, zone)
    looked_at[0] = 0
    anew = fit(state)
    fresh, looked_at[0] = looked_at[0], 0
    went_on = fit(replace(state, learned=first))
    assert looked_at[0] < 0.5 * fresh
    assert went_on.belief == anew.belief
