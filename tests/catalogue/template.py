"""Reads the catalogue out of the code, and writes it and what is made from it."""

import ast
import io
import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from tests.catalogue.calls import KEYWORDS, calls, texts_of
from tests.catalogue.crop_texts import crop_texts

ROOT = Path(__file__).resolve().parents[2]
LANGUAGES = ROOT / "resources" / "languages"
CROPS = ROOT / "resources" / "crops"
TEMPLATE = LANGUAGES / "ripenroom.pot"

_WIDTH = 100
_FILLED_BY_PERCENT = re.compile(r"%(?:\(\w+\))?[sr]")
_SET_UP = "bootstrap"
"""It runs before anything is installed, so it speaks English."""


def texts_in(
    file: io.BufferedIOBase,
    keywords: Mapping[str, Any],
    comment_tags: object,
    options: object,
) -> Iterator[tuple[int, str, tuple[str | None, ...], list[str]]]:
    """The texts of a Python file, as Babel asks an extraction method for them."""
    for call in calls(ast.parse(file.read())):
        if call.name not in keywords:
            continue
        choices = [texts_of(argument) for argument in call.arguments[:2]]
        if call.name in ("tr_n", "tr_in", "noted_n"):  # two texts that go together
            pairs = zip(*choices, strict=False) if len(choices) == 2 else ()
            yield from ((call.line, call.name, pair, []) for pair in pairs)
        elif call.name in ("Refusal", "Question"):
            texts = choices[1] if len(choices) == 2 else ()
            yield from ((call.line, call.name, (None, text), []) for text in texts)
        else:
            texts = choices[0] if choices else ()
            yield from ((call.line, call.name, (text,), []) for text in texts)


def template(package: Path = ROOT / "ripenroom", crops: Path = CROPS) -> Catalog:
    """The catalogue of a package and of crop profiles, without translations: by file, then as the
    texts stand there."""
    catalog = Catalog(project="ripenroom", fuzzy=False)
    for where, line, text, context in _texts_of(package):
        catalog.add(text, locations=[(where, line)], context=context)
    for file, said_of, words in crop_texts(crops):
        catalog.add(words, locations=[(f"resources/crops/{file}", 0)], context=said_of)
    return catalog


@cache
def _texts_of(package: Path) -> tuple[tuple[str, int, Any, str | None], ...]:
    """Each text of a package, in order: its file and line, what it says, and in which sense."""
    found = extract_from_dir(
        package,
        method_map=[("**.py", "tests.catalogue.template:texts_in")],
        keywords=KEYWORDS,
        comment_tags=(),
        directory_filter=lambda folder: Path(folder).name != _SET_UP,
    )
    return tuple(
        (f"{package.name}/{Path(name).as_posix()}", line, text, context)
        for name, line, text, _, context in sorted(found, key=lambda one: (one[0], one[1]))
        if text
    )


def written_template(catalog: Catalog) -> bytes:
    """The template as a file: without numbers of lines and dates, which change with no text."""
    return _written(catalog, omit_header=True)


def updated(translated: bytes, code: str, catalog: Catalog) -> Catalog:
    """A language's own catalogue, with the texts that the code has now."""
    own = read_po(io.BytesIO(translated), locale=code)
    own.update(catalog, update_creation_date=False)
    return own


def written_catalogue(own: Catalog) -> bytes:
    """A language's own catalogue as a file, for its translators."""
    return _written(own, omit_header=False)


def compiled(own: Catalog) -> bytes:
    """What the program reads of a catalogue; what is not translated, or only guessed, is not."""
    made = io.BytesIO()
    write_mo(made, own)
    return made.getvalue()


def _written(catalog: Catalog, *, omit_header: bool) -> bytes:
    for message in catalog:
        if not _FILLED_BY_PERCENT.search(str(message.id)):  # "% of the fruit" is no place to fill
            message.flags.discard("python-format")
    made = io.BytesIO()
    write_po(
        made, catalog, width=_WIDTH, include_lineno=False, omit_header=omit_header,
        ignore_obsolete=True,
    )  # fmt: skip
    return made.getvalue()


def files(folder: Path = LANGUAGES, catalog: Catalog | None = None) -> dict[Path, bytes]:
    """Every file of the catalogue below a folder, and what has to be in it."""
    catalog = catalog or template()
    found = {folder / TEMPLATE.name: written_template(catalog)}
    for path in sorted(folder.glob("*/LC_MESSAGES/ripenroom.po")):
        own = updated(path.read_bytes(), path.parent.parent.name, catalog)
        found[path] = written_catalogue(own)
        found[path.with_suffix(".mo")] = compiled(own)
    return found


Said = Callable[[str], str]


def filled(catalog: Catalog, said: Said) -> Catalog:
    """The catalogue with a translation of each text, made by ``said``."""
    for message in catalog:
        if not message.id:
            continue
        if isinstance(message.id, str):
            message.string = said(message.id)
        else:
            message.string = tuple(said(text) for text in message.id)
    return catalog
