"""Which language sentences are in."""

import pytest

from ripenroom import texts


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({}, "en"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "es_MX.UTF-8"}, "es"),
        ({"LANG": "pt_BR.UTF-8"}, "pt_BR"),
        ({"LANG": "pt_PT.UTF-8"}, "en"),
        ({"LANG": "ca_ES@valencia"}, "en"),
        ({"LANG": "en_IE.UTF-8", "LC_MESSAGES": "es_ES.UTF-8"}, "es"),
        ({"LANG": "es_ES.UTF-8", "LC_ALL": "en_IE.UTF-8"}, "en"),
        ({"LANG": "es_ES.UTF-8", "LC_ALL": "POSIX"}, "en"),
        ({"LANG": "en_IE.UTF-8", "LANGUAGE": "gl:es"}, "es"),
        ({"LANG": "es_ES.UTF-8", "LANGUAGE": "en:es"}, "en"),
        ({"LANG": "C", "LANGUAGE": "es"}, "en"),
        ({"LANG": "es_ES.UTF-8", "LANGUAGE": ""}, "es"),
    ],
)
def test_the_environment_says_which(environment: dict[str, str], code: str) -> None:
    # GNU gettext manual 0.22, section 2.3 "Setting the Locale": LANGUAGE, LC_ALL, LC_MESSAGES, LANG
    wanted = texts.wanted_by(environment)
    assert texts.best_of(wanted, ("en", "es", "pt_BR")) == code


def test_of_a_language_without_a_catalogue_texts_stay_english() -> None:
    texts.use_language("tlh")
    assert texts.language() == "en"
    assert texts.tr("Crates") == "Crates"
    assert [texts.tr_n("{n} crate", "{n} crates", n) for n in (0, 1, 2)] == [
        "0 crates",
        "1 crate",
        "2 crates",
    ]
    assert texts.tr_in("pattern of a day", "d MMM") == "d MMM"
    assert "en" in texts.languages()


def test_what_is_marked_stays_as_it_is() -> None:
    assert texts.noted("Crates") == "Crates"
    assert texts.tr_n(*texts.noted_n("{n} crate", "{n} crates"), 3) == "3 crates"
