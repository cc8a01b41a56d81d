"""What differs between two copies, in words."""

from dataclasses import replace

from ripenroom.records.market import Want
from ripenroom.records.place import TemperatureLog
from ripenroom.season import actions
from ripenroom.window.session import Session
from ripenroom.wording.record_fields import value_words


def test_money_bytes_and_long_texts_are_told_as_people_say_them(own: Session) -> None:
    book, words = own.season.book, own.words
    want = Want(id="w", market_day_id="d", crop="pawpaw", count=3, price_minor=150)
    assert value_words(want, "price_minor", book, words) == words.money(150)
    assert value_words(replace(want, price_minor=None), "price_minor", book, words) == "–"
    at = own.season.now()
    log = TemperatureLog(
        id="l", place_id="p", name="log", probe="", starts_at=at, ends_at=at, series=b"x" * 1234
    )
    assert value_words(log, "series", book, words) == f"{words.number(1234)} bytes"
    batch = next(iter(book.batches.values()))
    told = value_words(replace(batch, note="n" * 500), "note", book, words)
    assert (len(told), told[-1]) == (121, "…")


def test_values_are_told_in_the_units_of_the_season(own: Session) -> None:
    season = own.season
    season.do(actions.season.save, replace(season.book.season, units="us"))
    book, words = season.book, own.words
    batch = next(b for b in book.batches.values() if b.pulp_c is not None)
    warm = replace(batch, pulp_c=20.0, weight_kg=4.5359237)
    assert value_words(warm, "pulp_c", book, words) == "68.0 °F"
    assert value_words(warm, "weight_kg", book, words) == "10.0 lb"
    place = next(iter(book.places.values()))
    assert value_words(replace(place, daily_swing_k=1.0), "daily_swing_k", book, words) == "1.8 °F"
