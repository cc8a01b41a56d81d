"""How much of a crop's fruit can ripen: learned from checks, used by every forecast."""

import numpy as np
import pytest

from ripenroom.records.batch import FeelCounts
from ripenroom.records.book import Book, Record
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.learned import Learned
from ripenroom.season.projector import Projector
from tests.season.farm import NOW, ROOM, batch_and_move, book_of, farm_records
from tests.season.learning.checks import CROPS, PICKED, ZONE, check, farm, learned

PAWPAW = CropKind("pawpaw")
ALL_SOFT: FeelCounts = (0, 0, 2, 17, 1)
SOME_HARD: FeelCounts = (9, 0, 2, 9, 0)


def hard_picks(counts: FeelCounts) -> Book:
    """Three batches, half hard when they were picked six days ago, of which two are checked."""
    made: list[Record] = []
    for number in range(3):
        made += batch_and_move(number, ROOM, picked_at=PICKED, feel_counts=(20, 20, 0, 0, 0))
    return book_of(*farm_records(), *made, check(1, 0, 0.1, counts), check(2, 1, 0.1, counts))


def ripens(book: Book, found: Learned | None) -> tuple[np.ndarray, float]:
    """The share of each batch that can ripen, and the sd of its log odds."""
    projector = Projector(CROPS, ZONE, found)
    return projector.lines(book).batches.ripens, projector.constants[PAWPAW].ripens_sd


def test_where_all_fruit_has_softened_more_can_ripen_than_the_book_says() -> None:
    book = hard_picks(ALL_SOFT)
    (by_book, book_sd), (by_now, now_sd) = ripens(book, None), ripens(book, learned(book))
    assert (by_book < 0.85).all()
    # Also of the batch that nobody checked.
    assert (by_now > 0.9).all()
    assert 0.5 * book_sd < now_sd < book_sd


def test_where_fruit_stays_hard_less_can_ripen_and_forecasts_have_it() -> None:
    fewer, more = (hard_picks(counts) for counts in (SOME_HARD, ALL_SOFT))
    low, _ = ripens(fewer, learned(fewer))
    high, _ = ripens(more, learned(more))
    assert (low < 0.75).all()
    assert (high > 0.9).all()
    shown = Projector(CROPS, ZONE, learned(fewer))
    projection = shown.projection(shown.outlook(fewer, NOW), NOW)
    assert projection.wont_ripen == pytest.approx(1.0 - low)


def test_what_was_learned_is_reported_with_its_range() -> None:
    book = hard_picks(ALL_SOFT)
    [share] = learned(book).shares
    by_book, _ = ripens(book, None)
    assert (share.crop, share.group) == ("pawpaw", None)
    assert share.book == pytest.approx(by_book[0])
    assert share.book < share.ripens.low < share.ripens.mid < share.ripens.high < 1.0


def test_without_checks_nothing_of_it_is_learned() -> None:
    book = farm()
    found = learned(book)
    assert found.shares == ()
    assert found.belief is None or not found.belief.able
    assert np.array_equal(ripens(book, found)[0], ripens(book, None)[0])


def test_a_crop_whose_share_is_known_stays_as_it_is() -> None:
    made = batch_and_move(0, ROOM, crop="kiwifruit", picked_at=PICKED, feel_counts=(20, 0, 0, 0, 0))
    book = book_of(*farm_records(), *made, check(1, 0, 0.1, (9, 5, 4, 2, 0)))
    found = learned(book)
    assert found.belief is not None
    assert (found.belief.able, found.shares) == ({}, ())
    assert np.array_equal(ripens(book, found)[0], ripens(book, None)[0])


def test_from_before_it_is_the_same_as_anew() -> None:
    book = hard_picks(ALL_SOFT)
    first = learned(farm())
    anew, further = learned(book), learned(book, start=first)
    assert anew.belief is not None
    assert further.belief is not None
    at, again = anew.belief.able[PAWPAW], further.belief.able[PAWPAW]
    assert again.log_odds == pytest.approx(at.log_odds, abs=1e-4)
    assert again.log_odds_sd == pytest.approx(at.log_odds_sd, abs=1e-4)
