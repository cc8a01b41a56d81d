"""What things are called."""

import pytest

from ripenroom.records.wording import fruit_noun


@pytest.mark.parametrize(
    ("crop", "one", "several"),
    [
        ("Pawpaw", "pawpaw", "pawpaws"),
        ("Anjou pear", "Anjou pear", "Anjou pears"),
        ("Peach and nectarine", "peach or nectarine", "peaches and nectarines"),
        ("Persimmon (non-astringent)", "persimmon (non-astringent)", "persimmons (non-astringent)"),
        ("Persimmon, astringent", "persimmon, astringent", "persimmons, astringent"),
        ("Kiwifruit", "kiwifruit", "kiwifruit"),
        ("Kiwiberry", "kiwiberry", "kiwiberries"),
        ("Mango", "mango", "mangoes"),
        ("Avocado", "avocado", "avocados"),
        ("", "", ""),
    ],
)
def test_fruit_are_called_by_how_many_there_are(crop: str, one: str, several: str) -> None:
    assert (fruit_noun(crop, 1), fruit_noun(crop, 0), fruit_noun(crop, 2.6)) == (
        one,
        several,
        several,
    )
