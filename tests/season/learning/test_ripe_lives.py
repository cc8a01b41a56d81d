"""What packings teach of how long ripe fruit lasts: learned, used, carried on, and taken back."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from ripenroom.records.batch import FeelCounts
from ripenroom.records.book import Book
from ripenroom.records.check import Check, Lesson
from ripenroom.science.learning.ripe_life import (
    LIVES_KNOWN,
    OWN_LIFE_SD,
    RipeFruit,
    ripe_life,
)
from ripenroom.season import actions
from ripenroom.season.actions.lessons import take
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learned import Learned, LearnedLife
from ripenroom.season.learning import ripe_lives as ripe_lives_module
from ripenroom.season.learning.lessons import lessons_from, lessons_of
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.season.conftest import Open
from tests.season.farm import NOW, ROOM, SET_POINTS_C, SHELF, batch_and_move, farm_records, market
from tests.season.learning.checks import CROPS, ZONE, check, farm, learned

PAWPAW = CropKind("pawpaw")
BOOK_DAYS = 1.67
GOOD_STILL, MOSTLY_PAST = (1, 0, 36, 0, 3), (1, 0, 12, 0, 27)
"""Of forty fruit firm, taken, too soft and left, too soft and gone: a day ago, five days after the
pick in a room at 20 C."""


def packing(counts: FeelCounts, batch: int = 1, **given: object) -> Check:
    return check(batch, batch, 1.0, counts, eat_within_days=1.0, picked_from=40, **given)


def life_of(book: Book) -> LearnedLife | None:
    """What is learned of pawpaw; None where nothing is."""
    lives = learned(book).lives
    assert len(lives) <= 1
    return lives[0] if lives else None


def test_little_past_says_long_and_much_says_short() -> None:
    long, short = (life_of(farm(packing(c))) for c in (GOOD_STILL, MOSTLY_PAST))
    assert long is not None
    assert short is not None
    assert short.days.mid < BOOK_DAYS < long.days.mid
    assert long.book_days == short.book_days == pytest.approx(BOOK_DAYS)
    assert (long.reference_c, long.fruit, long.taught_by) == (20.0, 39, ())
    both = life_of(farm(packing(GOOD_STILL), packing(GOOD_STILL, batch=2)))
    assert both is not None
    assert both.days.high / both.days.low < long.days.high / long.days.low


def test_only_packings_that_count_and_found_ripe_fruit_tell_of_it() -> None:
    assert life_of(farm()) is None
    assert life_of(farm(packing(GOOD_STILL, counted=False))) is None
    assert life_of(farm(packing((40, 0, 0, 0, 0)))) is None
    assert life_of(farm(check(1, 1, 1.0, (0, 0, 2, 16, 2)))) is None


def test_what_was_past_changes_no_age_and_no_speed() -> None:
    good, past = (learned(farm(packing(c))) for c in (GOOD_STILL, MOSTLY_PAST))
    assert good.rates == past.rates
    assert good.shares == past.shares


def test_forecasts_count_on_it() -> None:
    """Fruit that is good for longer stays ready for longer, and there is less doubt about it."""
    closes = {}
    for counts in (GOOD_STILL, MOSTLY_PAST):
        book = farm(packing(counts), packing(counts, batch=2))
        found = learned(book)
        projector = Projector(CROPS, ZONE, found)
        own = projector.constants[PAWPAW]
        assert own.ripe_life_days == pytest.approx(found.lives[0].days.mid)
        assert own.ripe_life_sd < Projector(CROPS, ZONE).constants[PAWPAW].ripe_life_sd
        projection = projector.projection(projector.outlook(book, NOW), NOW)
        closes[counts] = float(projection.closes_h.mid[projection.line_of["batch 0"]])
    assert closes[GOOD_STILL] > closes[MOSTLY_PAST] + 12.0


def test_undo_takes_it_back(open_season: Open) -> None:
    day, wants = market(0.0, {"pawpaw": 30}, eat_within_days=1)
    batch, move = batch_and_move(
        1, ROOM, count=40, feel_counts=(0, 20, 10, 0, 0), picked_at=NOW - timedelta(days=5)
    )
    season = open_season(*farm_records(), day, *wants, batch, move)
    season.do(actions.packing.pack_squeezed, day.id, [Squeezed(batch.id, 35, 2, 3)], NOW)
    season.learn()
    assert season.learned is not None
    assert [life.fruit for life in season.learned.lives] == [38]
    season.undo()
    season.learn()
    assert not (season.learned and season.learned.lives)


def lessons(found: Learned, book: Book) -> list[Lesson]:
    made = list(lessons_from(found, book))
    assert made
    return made


def test_a_lesson_is_what_the_packings_alone_said_and_begins_the_next_season() -> None:
    book = farm(packing(GOOD_STILL), packing(GOOD_STILL, batch=2))
    found = learned(book)
    taught = lessons(found, book)
    belief = found.belief
    assert belief is not None
    life = belief.lives[PAWPAW]
    for lesson in taught:
        assert lesson.log_life is not None
        assert lesson.log_life_sd is not None
        weight, before = lesson.log_life_sd**-2, life.book_log_days_sd**-2
        assert (weight + before) ** -0.5 == pytest.approx(life.log_days_sd)
        assert lesson.log_life * weight / (weight + before) == pytest.approx(life.log_days)

    # Each cultivar's lesson has it, and it counts once.
    begun, once = life_of(farm(*taught)), life_of(farm(*taught[:1]))
    assert begun == once
    assert begun is not None
    assert begun.taught_by == (book.season.name,)
    assert begun.days.mid == pytest.approx(found.lives[0].days.mid, rel=0.1)
    assert begun.book_days == pytest.approx(begun.days.mid)
    assert lessons_from(learned(farm(*taught)), farm(*taught)) == ()


def test_a_lesson_is_told_beside_the_figures_of_the_season_that_takes_it() -> None:
    book = farm(packing(GOOD_STILL), packing(GOOD_STILL, batch=2))
    state = SeasonState(book, CROPS, NOW, ZONE)
    shared = lessons_of(state)
    one = shared.lessons[0]
    assert one.life_days == pytest.approx(BOOK_DAYS)
    assert one.life_c == 20.0
    assert one.log_life is not None
    other = replace(
        shared, lessons=tuple(replace(x, life_days=2.0 * BOOK_DAYS) for x in shared.lessons)
    )
    cold = replace(shared, lessons=tuple(replace(x, life_c=5.0) for x in shared.lessons))
    empty = SeasonState(farm(), CROPS, NOW, ZONE)
    for given, expected in ((shared, one.log_life), (other, one.log_life + 0.693147), (cold, None)):
        taken, _ = take(empty, given)
        assert taken
        for lesson in taken:
            assert lesson.log_life == (None if expected is None else pytest.approx(expected))
            assert (lesson.log_life_sd is None) == (expected is None)


def test_in_the_cool_a_ripe_life_is_longer_and_fruit_gains_less_age_in_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Against days of ripe life and speeds at a steady temperature, worked out apart."""
    found: list[RipeFruit] = []

    def spied(fruit: RipeFruit, *others: float) -> tuple[float, float]:
        found.append(fruit)
        return ripe_life(fruit, *others)

    monkeypatch.setattr(ripe_lives_module, "ripe_life", spied)
    told = learned(farm(packing(GOOD_STILL, batch=0), packing(GOOD_STILL, batch=1)))
    # With the activation energy that was learned.
    crop = Projector(CROPS, ZONE, told).constants[PAWPAW]
    life = CROPS["pawpaw"].ripe_life
    assert life is not None
    [fruit] = found
    gained = []
    for celsius in (SET_POINTS_C[SHELF], SET_POINTS_C[ROOM]):
        days = life.days.value * life.q10.value ** ((20.0 - celsius) / 10.0)
        rate = crop.rate_per_day * float(crop.response.relative_rate(np.array(celsius)))
        gained.append(rate * days)
    # Both are of one cultivar, so that the speed that was learned is in both.
    cool, warm = fruit.gained[np.argsort(fruit.gained[:, 1])]
    assert warm[1] / cool[1] == pytest.approx(gained[1] / gained[0], rel=0.05)
    for own in (cool, warm):
        assert own / own[1] == pytest.approx(LIVES_KNOWN, rel=0.03)
    # How ripe life depends on temperature is doubted; at the temperature of its days it is not.
    assert fruit.own_sd.max() > fruit.own_sd.min() == pytest.approx(OWN_LIFE_SD, abs=0.01)
