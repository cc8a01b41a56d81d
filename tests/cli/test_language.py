"""What commands print is in the reader's language: no English is left in a table or a refusal."""

import gettext
import re
from collections.abc import Iterator
from configparser import RawConfigParser
from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ripenroom import texts
from ripenroom.cli import command
from ripenroom.cli.argparse_texts import TEXTS
from ripenroom.cli.command import COMMANDS
from ripenroom.paths import resource
from ripenroom.season.season import Season
from tests.catalogue.pseudo import pseudo_texts
from tests.catalogue.untranslated import data_words, untranslated
from tests.cli.conftest import Call

_ALLOWED = {
    "ripenroom",
    # Days and months, which CLDR names in the language of our sentences; it has no pseudo one.
    *("mon", "tue", "wed", "thu", "fri", "sat", "sun"),
    *("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"),
    *("thursday", "october"),
}


@pytest.fixture
def pseudo(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    texts.use(pseudo_texts())
    monkeypatch.setattr(command, "use_language", lambda code: None)
    yield
    texts.use_language("en")


@pytest.fixture
def spanish(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LANG", "es_MX.UTF-8")
    yield
    texts.use_language("en")
    texts.use_locale(texts.NO_LOCALE[0])
    gettext.textdomain("messages")


def own_words(season: Path) -> set[str]:
    with closing(Season.open(season, read_only=True)) as opened:
        return data_words([opened.book])


@pytest.mark.usefixtures("pseudo")
@pytest.mark.parametrize(
    "asked",
    [
        *(["windows"], ["today"], ["plan"], ["checks"], ["rooms"], ["rows"]),
        pytest.param(["setpoints"], marks=pytest.mark.long),
        ["pack", "2026-10-03"],
    ],
    ids=lambda asked: asked[0],
)
def test_what_is_printed_is_translated(call: Call, season: Path, asked: list[str]) -> None:
    answer = call(asked[0], season, *asked[1:])
    assert answer.code == 0
    # Crops are called by their keys in the season's own records, but in words where they are read.
    allowed = _ALLOWED | own_words(season) - {"pawpaw", "avocado"}
    assert untranslated(answer.out + answer.err, allowed) == set()


@pytest.mark.usefixtures("spanish")
@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_help_has_no_english_of_argparse(call: Call, name: str) -> None:
    printed = call(*filter(None, [name]), "--help").out
    assert printed.startswith(f"uso: ripenroom {name}".rstrip())
    assert "show program" not in printed
    of_argparse = [text for text in TEXTS if isinstance(text, str) and "%" not in text]
    assert [text for text in of_argparse if re.search(rf"\b{re.escape(text)}", printed)] == []


@pytest.mark.usefixtures("spanish")
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["windows"], "faltan estos argumentos: season"),
        (["windows", "x", "--nix"], "argumentos desconocidos: --nix"),
        (["import", "x", "y", "--dates", "nix"], "--dates: 'nix' no vale aquí (elige entre "),
        (["windows", "x", "--csv"], "--csv: falta su valor"),
    ],
)
def test_bad_use_is_told_in_the_same_language(call: Call, typed: list[str], said: str) -> None:
    answer = call(*typed)
    assert answer.code == 2
    assert answer.said_in_one_line(said)


@pytest.mark.usefixtures("spanish")
def test_numbers_and_days_are_written_as_in_spanish(call: Call, season: Path) -> None:
    assert ", jueves, 1 de octubre de 2026\n" in call("today", season).out


def test_a_menu_and_a_file_type_are_named_in_every_language() -> None:
    folder = resource("desktop")
    entry = RawConfigParser(interpolation=None, delimiters="=", default_section="")
    entry.optionxform = str  # type: ignore[assignment, method-assign] # keys have capitals
    entry.read(folder / "ripenroom.desktop", encoding="utf-8")
    keys, kind = entry["Desktop Entry"], ElementTree.parse(folder / "ripenroom.xml")
    named = {
        comment.get("{http://www.w3.org/XML/1998/namespace}lang", texts.ENGLISH)
        for comment in kind.iter("{http://www.freedesktop.org/standards/shared-mime-info}comment")
    }
    assert named == set(texts.languages())
    for language in set(texts.languages()) - {texts.ENGLISH}:
        for key in ("GenericName", "Comment", "Keywords"):
            assert keys[f"{key}[{language}]"] not in ("", keys[key])
