"""Counts and prices as they are typed and shown."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.window.session import Session
from ripenroom.window.widgets.inputs import TypedLine, shown_price, typed_price, whole_number
from ripenroom.wording.formats import Formats


def words_in(session: Session, locale: str, currency: str = "EUR") -> Formats:
    season = replace(session.season.book.season, currency=currency)
    return Formats(locale, season, session.season.zone)


@pytest.mark.parametrize(
    ("typed", "number"),
    [("12", 12), (" 0 ", 0), ("-3", -3), ("1.5", None), ("", None), ("x", None)],
)
def test_whole_numbers(session: Session, typed: str, number: int | None) -> None:
    assert whole_number(typed, words_in(session, "en_GB")) == number


@pytest.mark.parametrize(
    ("typed", "locale", "currency", "minor"),
    [
        ("1.5", "en_GB", "EUR", 150),
        ("1,50 EUR", "de_DE", "EUR", 150),
        ("1,50 €", "de_DE", "EUR", 150),
        ("$1.50", "en_US", "USD", 150),
        ("US$ 1.50", "en_GB", "USD", 150),
        ("0", "en_GB", "EUR", 0),
        ("  ", "en_GB", "EUR", None),
        ("120", "ja_JP", "JPY", 120),
    ],
)
def test_prices(
    qtbot: QtBot, session: Session, typed: str, locale: str, currency: str, minor: int | None
) -> None:
    line = TypedLine()
    qtbot.addWidget(line)
    line.setText(typed)
    words = words_in(session, locale, currency)
    assert typed_price(line, words, "price") == minor
    if minor is not None:
        line.setText(shown_price(minor, words))
        assert typed_price(line, words, "price") == minor


@pytest.mark.parametrize("typed", ["lots", "-1", "1.505"])
def test_what_is_no_price_is_refused_at_its_field(
    qtbot: QtBot, session: Session, typed: str
) -> None:
    line = TypedLine()
    qtbot.addWidget(line)
    line.setText(typed)
    with pytest.raises(Refusal) as caught:
        typed_price(line, words_in(session, "en_GB"), "price")
    assert caught.value.field == "price"
    assert typed in caught.value.message
