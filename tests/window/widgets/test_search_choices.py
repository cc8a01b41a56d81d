"""Which names a typed text finds, and in which order."""

import pytest

from ripenroom.window.widgets.search_choices import is_name, matches, named_in

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


def test_other_names_find_it_too() -> None:
    others = {0: ["Asimina · Susquehanna"], 3: ["Asimina"]}
    assert matches("asim", NAMES, 2, others) == [0, 3]
    assert matches("asimina", NAMES, 2, others) == [3, 0]
    assert matches("susquehanna", NAMES, 2, others) == [0]


def test_what_is_typed_beside_any_name_of_a_thing_is_the_rest() -> None:
    names = {"fig": ["Higo", "Fig"], "pear": ["Pera", "Pear"]}
    assert named_in("pera Blanquilla", names) == ("pear", "Blanquilla")
    assert named_in("Blanquilla pear", names) == ("pear", "Blanquilla")
    assert named_in("Blanquilla", names) == (None, "Blanquilla")
