"""Where a batch never opens, the reason that is told is what happens to its fruit."""

import pytest

from ripenroom.season.projection import NoDate, no_date
from tests.season.farm import batch_and_move, book_of
from tests.season.test_projector import place, project

HARD, SLIGHT = (20, 0, 0, 0, 0), (0, 20, 0, 0, 0)


@pytest.mark.parametrize(
    ("crop", "celsius", "feel", "reason"),
    [
        ("pawpaw", 20.0, HARD, NoDate.WONT_RIPEN),
        ("pawpaw", 20.0, SLIGHT, None),
        ("pawpaw", 2.0, SLIGHT, NoDate.CHILLING),
        ("pawpaw", -4.0, SLIGHT, NoDate.FREEZING),
        ("pear", 0.0, HARD, NoDate.STORAGE_LIFE),
    ],
)
def test_the_reason_why(
    crop: str, celsius: float, feel: tuple[int, int, int, int, int], reason: NoDate | None
) -> None:
    book = book_of(
        *place("there", celsius), *batch_and_move(1, "there", crop=crop, feel_counts=feel)
    )
    assert no_date(project(book), 0) == reason
