"""One want, typed in the user's own numbers."""

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.market import Want
from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.crop_rows import CropChoices, WantRow
from ripenroom.wording.formats import Formats

MakeWords = Callable[..., Formats]
CROPS = CropChoices([("pawpaw", "Pawpaw"), ("pear", "European pear")])


def row(qtbot: QtBot, words: Formats, count: str, price: str) -> WantRow:
    made = WantRow(0, CROPS, words)
    qtbot.addWidget(made)
    made.count.setText(count)
    made.price.setText(price)
    return made


@pytest.mark.parametrize(
    ("locale", "currency", "typed", "minor"),
    [
        ("en_US", "USD", "1.50", 150),
        ("en_US", "USD", "1.5 USD", 150),
        ("de_DE", "EUR", "1,50", 150),
        ("ja_JP", "JPY", "120", 120),
        ("en_US", "USD", "", None),
        ("en_US", "USD", "0.29", 29),
    ],
)
def test_prices_are_read_in_the_locale_and_kept_in_minor_units(
    qtbot: QtBot, words_in: MakeWords, locale: str, currency: str, typed: str, minor: int | None
) -> None:
    want = row(qtbot, words_in(locale, currency), "60", typed).want("day")
    assert (want.crop, want.count, want.price_minor) == ("pawpaw", 60, minor)


@pytest.mark.parametrize(
    ("count", "price", "part"),
    [("many", "1.50", "amount"), ("2.5", "", "amount"), ("-3", "", "amount"), ("0", "", "amount"),
     ("", "1.50", "amount"), ("6", "cheap", "price"), ("6", "-1", "price"),
     ("6", "1.505", "price")],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_at_its_line_of_this_row(
    qtbot: QtBot, words_in: MakeWords, count: str, price: str, part: str
) -> None:
    made = row(qtbot, words_in("en_US", "USD"), count, price)
    with pytest.raises(Refusal) as refused:
        made.want("day")
    assert refused.value.field == f"{made.key}.{part}"
    assert made.count.text() == count


def test_a_want_comes_back_as_it_was(qtbot: QtBot, words_in: MakeWords) -> None:
    want = Want(id="w", market_day_id="day", crop="pear", count=40, price_minor=75)
    made = WantRow(3, CROPS, words_in("de_DE"), want)
    qtbot.addWidget(made)
    assert made.price.text() == "0,75"
    assert made.want("day") == want


def test_nothing_typed_is_no_want(qtbot: QtBot, words_in: MakeWords) -> None:
    words = words_in("en_US")
    assert row(qtbot, words, " ", "").is_empty()
    assert not row(qtbot, words, "", "1").is_empty()


def test_every_editor_has_a_name(qtbot: QtBot, words_in: MakeWords) -> None:
    made = row(qtbot, words_in("en_US", "USD"), "", "")
    names = [w.accessibleName() for w in (made.crop, made.count, made.price, made.remove)]
    assert names == [
        "Crop wanted",
        "How much is wanted",
        "Price, $",
        "Remove this want: Pawpaw",
    ]
