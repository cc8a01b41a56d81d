"""The catalogue on disk is what the code says."""

import io
import re
import shutil
from collections.abc import Iterable
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from ripenroom import texts
from tests.catalogue.template import (
    CROPS,
    LANGUAGES,
    compiled,
    files,
    template,
    updated,
    written_catalogue,
)

_PLACE = re.compile(r"\{(\w+)[^{}]*\}")


def places(text: str) -> set[str]:
    """What is filled into a text."""
    return set(_PLACE.findall(text))


def misfilled(own: Catalog) -> list[str]:
    """Texts whose translation has a place that they have not, or ("{n}" aside) lacks one."""
    wrong = []
    for message in own:
        of = (message.id,) if isinstance(message.id, str) else tuple(message.id)
        said = (message.string,) if isinstance(message.string, str) else tuple(message.string or ())
        there = set().union(*map(places, of))
        for text in filter(None, said if message.id else ()):
            if places(text) - there or there - places(text) - {"n"}:
                wrong.append(of[0])
    return wrong


def test_every_file_is_up_to_date() -> None:
    stale = [
        path.relative_to(LANGUAGES).as_posix()
        for path, content in files().items()
        if not path.exists() or path.read_bytes() != content
    ]
    assert stale == [], "run: python -m tests.catalogue"


@pytest.mark.parametrize(
    "path", sorted(LANGUAGES.glob("*/LC_MESSAGES/ripenroom.po")), ids=lambda path: path.parts[-3]
)
def test_translations_are_filled_with_what_the_texts_are(path: Path) -> None:
    assert misfilled(read_po(io.BytesIO(path.read_bytes()))) == []


def forms_of(said: str | Iterable[str] | None) -> tuple[str, ...]:
    """What a text is translated to: once, or for each number."""
    return (said,) if isinstance(said, str) else tuple(said or ("",))


@pytest.mark.parametrize(
    "path", sorted(LANGUAGES.glob("*/LC_MESSAGES/ripenroom.po")), ids=lambda path: path.parts[-3]
)
def test_every_text_has_a_translation(path: Path) -> None:
    own = read_po(io.BytesIO(path.read_bytes()))
    left = [
        message.id
        for message in own
        if message.id and (message.fuzzy or not all(forms_of(message.string)))
    ]
    assert left == []


@pytest.mark.parametrize(
    "path", sorted(LANGUAGES.glob("*/LC_MESSAGES/ripenroom.po")), ids=lambda path: path.parts[-3]
)
def test_an_alt_letter_stays_one(path: Path) -> None:
    own = read_po(io.BytesIO(path.read_bytes()))
    letters = [
        message.id
        for message in own
        if isinstance(message.id, str)
        and isinstance(message.string, str)
        and message.id.replace("&&", "").count("&") != message.string.replace("&&", "").count("&")
    ]
    assert letters == []


def code_in(folder: Path, code: str) -> Path:
    package = folder / "made"
    package.mkdir()
    (package / "words.py").write_text(code, encoding="utf-8")
    return package


def test_all_kinds_of_calls_are_found(tmp_path: Path) -> None:
    code = """
tr("plain")
tr("one" if one else ("two" if two else "three"))
tr(name)
tr_n("{n} crate", "{n} crates", n)
tr_n(*forms, n)
tr_in("a day", "EEE")
noted("marked")
noted_n("1", "n")
Refusal("count", "Too many of {what}.", what=what)
Question("unit", "N or kgf?" if doubt else "Which unit?")
Refusal(field, text)
other("nothing")
"""
    found = template(code_in(tmp_path, code), tmp_path)
    ids = [(message.context, message.id) for message in found if message.id]
    assert ids == [
        (None, "plain"),
        (None, "one"),
        (None, "two"),
        (None, "three"),
        (None, ("{n} crate", "{n} crates")),
        ("a day", "EEE"),
        (None, "marked"),
        (None, ("1", "n")),
        (None, "Too many of {what}."),
        (None, "N or kgf?"),
        (None, "Which unit?"),
    ]


def test_what_crop_profiles_say_is_found(tmp_path: Path) -> None:
    crops = tmp_path / "crops"
    crops.mkdir()
    for key in ("feijoa", "tomato", "pear"):
        shutil.copy(CROPS / f"{key}.toml", crops)
    package = code_in(tmp_path, "")
    found = {(message.context, message.id) for message in template(package, crops)}
    assert {
        ("crop feijoa", "Feijoa"),
        ("fruit of the crop feijoa", ("feijoa", "feijoas")),
        ("crop tomato", "breaker"),
        ("crop pear", "summer"),
        ("what fruit waits for", "cold"),
    } <= found
    assert any(str(text).startswith("Touch-picked feijoas") for _, text in found)


def test_from_the_code_to_the_reader(tmp_path: Path) -> None:
    """A language begins as an empty file, is translated, and is read by the program."""
    code = 'tr("Crates")\ntr("Fruit")\ntr_n("{n} batch", "{n} batches", n)\n'
    catalog = template(code_in(tmp_path, code), tmp_path)
    folder = tmp_path / "languages"
    po = folder / "de" / "LC_MESSAGES" / "ripenroom.po"
    po.parent.mkdir(parents=True)
    po.write_bytes(b"")
    own = updated(po.read_bytes(), "de", catalog)
    own["Crates"].string = "Kisten"
    own["{n} batch"].string = ("{n} Partie", "{n} Partien")
    po.write_bytes(written_catalogue(own))
    for path, content in files(folder, catalog).items():
        path.write_bytes(content)
    assert files(folder, catalog) == {path: path.read_bytes() for path in files(folder, catalog)}
    assert texts.languages(folder) == ("en", "de")
    try:
        texts.use_language("de", folder)
        assert texts.language() == "de"
        assert (texts.tr("Crates"), texts.tr("Fruit")) == ("Kisten", "Fruit")
        said = [texts.tr_n("{n} batch", "{n} batches", n) for n in (1, 2)]
        assert said == ["1 Partie", "2 Partien"]
    finally:
        texts.use_language("en")
    assert (texts.language(), texts.tr("Crates")) == ("en", "Crates")


def test_a_place_that_the_text_has_not_is_found() -> None:
    own = Catalog(locale="de")
    own.add("{count} of {code}", "{count} von {Partie}")
    own.add("{count} crates", "Kisten")
    own.add(("{n} crate", "{n} crates"), ("eine Kiste", "{n} Kisten"))
    own.add("{at:%H:%M}", "{at:%H.%M}")
    assert misfilled(own) == ["{count} of {code}", "{count} crates"]
    assert compiled(own)
