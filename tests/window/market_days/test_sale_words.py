"""What became of fruit, in words."""

from collections.abc import Callable

import pytest

from ripenroom.wording.formats import Formats
from ripenroom.wording.market_days import Sale, sale_words


@pytest.mark.parametrize(
    ("sale", "said"),
    [
        (Sale(38, 30, 2), ["brought 38", "sold 30", "thrown 2, back 6"]),
        (Sale(38, 38, 0), ["brought 38", "sold 38"]),
        (Sale(8, 0, 8), ["brought 8", "sold 0", "thrown 8"]),
        (Sale(None, 12, 0), ["sold 12"]),
        (Sale(None, 0, 0), ["none brought"]),
    ],
)
def test_only_what_was_written_down_is_said(
    words_in: Callable[[str], Formats], sale: Sale, said: list[str]
) -> None:
    assert sale_words(sale, words_in("en_US")) == said


def test_more_sold_than_brought_brings_nothing_back() -> None:
    assert Sale(3, 5, 0).came_back == 0
