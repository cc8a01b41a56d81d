"""Counts, amounts and prices as they are typed and shown."""

from dataclasses import replace
from typing import cast

import pytest
from pytestqt.qtbot import QtBot

from ripenroom import texts
from ripenroom.records.market import SoldBy
from ripenroom.records.refusal import Refusal
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine, parse_amount, unit_name
from ripenroom.window.widgets.inputs import TypedLine, shown_price, typed_price
from ripenroom.wording.formats import Formats


def words_in(session: Session, locale: str, currency: str = "EUR") -> Formats:
    season = replace(session.season.book.season, currency=currency)
    return Formats(locale, season, session.season.zone)


@pytest.fixture
def line(qtbot: QtBot, session: Session) -> AmountLine:
    made = AmountLine(words_in(session, "en_GB"))
    made.setAccessibleName("Sold of P-1; key A: the rest")
    qtbot.addWidget(made)
    return made


@pytest.mark.parametrize(
    ("typed", "number"),
    [("12", 12), (" 0 ", 0), ("-3", None), ("12 fruit", 12), ("1.5", None), ("", None), ("x", None),
     ("12 kg", None)],
)  # fmt: skip
def test_whole_numbers(line: AmountLine, typed: str, number: int | None) -> None:
    line.setText(typed)
    assert line.whole() == number
    if number is not None:
        assert line.count("count") == line.needed_count("count") == number


@pytest.mark.parametrize(
    ("typed", "locale", "amount"),
    [
        ("30 lb", "en_US", (30.0, "lb")),
        ("30lbs", "en_US", (30.0, "lb")),
        ("2,5 kg", "de_DE", (2.5, "kg")),
        ("2.5", "en_GB", (2.5, None)),
        ("4 Boxes", "en_GB", (4.0, "box")),
        ("1,234 fruit", "en_GB", (1234.0, "fruit")),
        ("kg", "en_GB", None),
        ("4 crates", "en_GB", None),
        ("4 kg 5", "en_GB", None),
        ("", "en_GB", None),
    ],
)
def test_an_amount_may_bring_its_unit(
    session: Session, typed: str, locale: str, amount: tuple[float, str | None] | None
) -> None:
    assert parse_amount(typed, words_in(session, locale)) == amount


def test_units_are_known_by_their_names_in_the_language(session: Session) -> None:
    words = words_in(session, "es_ES")
    texts.use_language("es")
    try:
        boxes = unit_name("box")
        assert parse_amount(f"4 {boxes}", words) == (4.0, "box")
        assert parse_amount("2,5 kg", words) == (2.5, "kg")
    finally:
        texts.use_language("en")
    assert boxes != unit_name("box")


@pytest.mark.parametrize("typed", ["few", "1.5", "-3", "3 kg"])
def test_what_is_no_count_is_refused_at_its_field(line: AmountLine, typed: str) -> None:
    line.setText(typed)
    with pytest.raises(Refusal) as caught:
        line.count("sold")
    assert caught.value.field == "sold"
    assert caught.value.message == f"Sold of P-1: type a whole number, not “{typed}”."


def test_nothing_typed_is_none_or_asked_for(line: AmountLine) -> None:
    line.setText("  ")
    assert line.count("sold") is line.amount("sold", "kg") is line.mass_kg("sold") is None
    with pytest.raises(Refusal, match=r"Sold of P-1: how many\?"):
        line.needed_count("sold")


def test_an_amount_is_more_than_nothing_and_in_its_unit(line: AmountLine) -> None:
    line.setText("2.5")
    assert line.amount("amount", "kg") == 2.5
    for typed, unit in (("2.5", "fruit"), ("0", "kg"), ("-1", "box"), ("2 lb", "kg"), ("x", "box")):
        line.setText(typed)
        with pytest.raises(Refusal, match=f"not “{typed}”"):
            line.amount("amount", cast(SoldBy, unit))
    line.show_amount(30.25)
    assert line.amount("amount", "kg") == 30.25
    line.show_amount(None)
    assert line.text() == ""


def test_a_weight_may_bring_its_own_unit(line: AmountLine) -> None:
    # 1 lb is 0.45359237 kg: NIST SP 811, appendix B.8.
    us = replace(line.words.season, units="us")
    for units, typed, kg in (
        (line.words.season, "20 lb", 9.0718474),
        (us, "2 kg", 2.0),
        (us, "1", 0.45359237),
    ):
        line.words = Formats("en_GB", units, line.words.zone)
        line.setText(typed)
        assert line.mass_kg("weight_kg") == pytest.approx(kg)
    for typed in ("heavy", "3 boxes"):
        line.setText(typed)
        with pytest.raises(Refusal, match=r"Sold of P-1: type a number above 0, such as 30\.5"):
            line.mass_kg("weight_kg")


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
