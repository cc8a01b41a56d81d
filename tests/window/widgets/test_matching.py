"""Which names a typed text finds, and in which order."""

import pytest

from ripenroom.window.widgets.matching import is_name, matches

NAMES = ["Pawpaw · Susquehanna", "Pear · Comète", "Avocado", "Pawpaw", "Peach", "Summer pear"]


def found(typed: str) -> list[str]:
    return [NAMES[place] for place in matches(typed, NAMES, first=2)]


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("pawpaw", ["Pawpaw", "Pawpaw · Susquehanna"]),
        ("paw", ["Pawpaw · Susquehanna", "Pawpaw"]),
        ("pe", ["Pear · Comète", "Peach", "Summer pear"]),
        ("SUSQ", ["Pawpaw · Susquehanna"]),
        ("comete", ["Pear · Comète"]),
        ("paw sus", ["Pawpaw · Susquehanna"]),
        ("sus paw", ["Pawpaw · Susquehanna"]),
        ("wpaw", []),
        ("quince", []),
        ("", NAMES),
    ],
)
def test_own_names_first_then_those_that_begin_so(typed: str, names: list[str]) -> None:
    assert found(typed) == names


def test_a_part_between_dots_is_a_name() -> None:
    assert is_name("comete", "Pear · Comète")
    assert is_name("pear · comète", "Pear · Comète")
    assert not is_name("pear", "Pear · Comète")
