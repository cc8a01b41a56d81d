"""Days and times as people type them. Monday 30 November 2026 is today throughout."""

from datetime import date, time

import pytest
from PySide6.QtCore import QDate, QLocale

from ripenroom.days import day_with_weekday, known_locale
from ripenroom.texts import use_language
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.typed_day import Lean, folded, read_day, read_time

TODAY = date(2026, 11, 30)


def read(text: str, locale: str = "en_US", lean: Lean = "ahead") -> date | None:
    return read_day(text, TODAY, lean, day_words(QLocale(locale)))


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("12/5", date(2026, 12, 5)),
        ("12-5", date(2026, 12, 5)),
        ("12/5/27", date(2027, 12, 5)),
        ("2026-12-05", date(2026, 12, 5)),
        ("25/12", date(2026, 12, 25)),  # there is no 25th month: only this can be meant
        ("5 Dec", date(2026, 12, 5)),
        ("dec 5th", date(2026, 12, 5)),
        ("5december", date(2026, 12, 5)),
        ("Sat 5 Dec", date(2026, 12, 5)),
        ("Sun 6 Jan 2030", date(2030, 1, 6)),
        ("sat", date(2026, 12, 5)),
        ("sa", date(2026, 12, 5)),
        ("monday", TODAY),
        ("next monday", date(2026, 12, 7)),
        ("last monday", date(2026, 11, 23)),
        ("tomorrow", date(2026, 12, 1)),
        ("tom", date(2026, 12, 1)),
        ("yesterday", date(2026, 11, 29)),
        ("+10", date(2026, 12, 10)),
        ("5", date(2026, 12, 5)),
        ("31", date(2026, 12, 31)),
        ("jan 2", date(2027, 1, 2)),
        ("feb 29", date(2028, 2, 29)),
    ],
)
def test_what_is_typed_is_understood(text: str, meant: date) -> None:
    assert read(text) == meant
    assert read(text.upper()) == meant


@pytest.mark.parametrize(
    "text",
    ["", "s", "t", "soon", "31 Nov", "13/13", "9:30", "5 dec jan", "sat sun", "1/2/3/4", "0", "32",
     "5 pears", "99999999999"],
)  # fmt: skip
def test_what_is_no_day_is_none(text: str) -> None:
    assert read(text) is None


def test_the_order_of_figures_is_that_of_the_locale() -> None:
    assert read("12/5", "en_GB") == date(2027, 5, 12)
    assert read("5.12.", "de_DE") == date(2026, 12, 5)
    assert read("2026/12/5", "ja_JP") == date(2026, 12, 5)


@pytest.mark.parametrize(
    ("locale", "text"),
    [("de_DE", "5 Dez"), ("de_DE", "Samstag"), ("fr_FR", "5 déc"), ("fr_FR", "samedi"),
     ("es_ES", "sabado"), ("es_ES", "5 dic"), ("de_DE", "5 Dec")],
)  # fmt: skip
def test_names_are_those_of_the_language_with_or_without_accents(locale: str, text: str) -> None:
    assert read(text, locale) == date(2026, 12, 5)


def test_a_short_text_leans_to_the_side_that_is_asked_about() -> None:
    assert [read("sat", lean=lean) for lean in ("ahead", "back", "near")] == [
        date(2026, 12, 5), date(2026, 11, 28), date(2026, 11, 28),
    ]  # fmt: skip
    assert read("5", lean="back") == date(2026, 11, 5)
    assert read("jun 1", lean="back") == date(2026, 6, 1)
    assert read("jun 1", lean="ahead") == date(2027, 6, 1)


def test_a_weekday_beside_a_date_says_which_or_contradicts_it() -> None:
    assert read("sat 5", lean="back") == date(2026, 9, 5)
    assert read("sat 5", lean="ahead") == date(2026, 12, 5)
    assert read("thu 5", lean="ahead") is None  # none in the months around
    assert read("thu 5 nov", lean="back") == date(2026, 11, 5)
    for wrong in ("sat 5 nov", "sun 12/5", "sat 2026-11-05", "sat 5 nov 2026", "sat sun 5"):
        assert read(wrong, lean="back") is None, wrong
    words = day_words(QLocale("en_US"))
    assert read_day("sat 5 nov", TODAY, "back", words, heed_weekday=False) == date(2026, 11, 5)


@pytest.mark.parametrize("spoken", ["en", "es"])
@pytest.mark.parametrize("locale", ["de_DE", "fr_FR", "en_US", "en_GB", "es_ES"])
def test_what_a_line_shows_is_understood_whatever_language_the_window_speaks(
    spoken: str, locale: str
) -> None:
    use_language(spoken)
    try:
        for ordinal in range(TODAY.toordinal() - 200, TODAY.toordinal() + 160):
            day = date.fromordinal(ordinal)
            shown = f"{day_with_weekday(day, known_locale(locale))} {day.year}"
            assert read(shown, locale) == day, shown
    finally:
        use_language("en")


def test_a_date_of_yesterday_is_yesterday_and_not_next_year() -> None:
    assert read("11/29", lean="ahead") == date(2026, 11, 29)
    assert read("12/1", lean="back") == date(2026, 12, 1)


@pytest.mark.parametrize(
    ("text", "meant"),
    [("9", time(9)), ("930", time(9, 30)), ("0930", time(9, 30)), ("9:30", time(9, 30)),
     ("9.30", time(9, 30)), ("9h30", time(9, 30)), ("21 h", time(21)), ("9 pm", time(21)),
     ("9:30 p.m.", time(21, 30)), ("12 am", time(0)), ("12pm", time(12)), ("2:05 PM", time(14, 5)),
     ("24", None), ("9:7", None), ("13 pm", None), ("9:60", None), ("", None), ("sat", None),
     ("9 pears", None)],
)  # fmt: skip
def test_times_of_day(text: str, meant: time | None) -> None:
    assert read_time(text, day_words(QLocale("en_US"))) == meant


def test_every_day_of_a_year_is_understood_as_it_is_shown() -> None:
    for name in ("en_US", "de_DE", "fr_FR", "es_ES"):
        locale = QLocale(name)
        words = day_words(locale)
        for ordinal in range(TODAY.toordinal() - 200, TODAY.toordinal() + 200):
            day = date.fromordinal(ordinal)
            shown = locale.toString(QDate(day.year, day.month, day.day), "ddd d MMM yyyy").replace(
                ".", ""
            )
            assert read_day(shown, TODAY, "ahead", words) == day, shown


def test_folding_leaves_letters_without_accents() -> None:
    assert folded(" Déc ") == "dec"
    assert folded("Straße") == "strasse"
