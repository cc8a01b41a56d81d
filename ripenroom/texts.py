"""Every sentence in the reader's language, by gettext: ``tr``, ``tr_n``, ``tr_in``, ``tr_n_in``.

The English text stands in the code and is the key of its translation; where none is known, it is
shown as it is. Values are filled into a translated text afterwards, by ``str.format``. A text is
translated where it is used, not while a module is imported: what stands in a constant is only
marked, by ``noted`` or ``noted_n``.

Translations are catalogues below ``resources/languages`` (GNU gettext, ``ripenroom.mo``), which
``python -m tests.catalogue`` makes.
"""

import gettext
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from ripenroom.paths import resource

ENGLISH = "en"
DOMAIN = "ripenroom"
"""What catalogues are called, as gettext names them."""

_texts = gettext.NullTranslations()

NO_LOCALE = ("C", "POSIX")
"""Names for no locale at all, where the user has chosen none."""

_locale = NO_LOCALE[0]


@lru_cache(maxsize=4)
def languages(folder: Path | None = None) -> tuple[str, ...]:
    """The languages that sentences can be in, by their codes, English first."""
    below = folder or resource("languages")
    found = (path.parent.parent.name for path in below.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))
    return (ENGLISH, *sorted(found))


def best_of(wanted: Iterable[str], known: Iterable[str] | None = None) -> str:
    """The first language that is wanted and ``known``, by its code; English where none is.

    Who wants a language of one country is content with that of any, and who wants English, or
    nothing ("C"), with ours.

    >>> best_of(["es_MX.UTF-8", "en"], ["en", "es"]), best_of(["en-GB", "es"], ["en", "es"])
    ('es', 'en')
    """
    there = languages() if known is None else tuple(known)
    for name in wanted:
        code = name.partition(".")[0].partition("@")[0].replace("-", "_")
        if code in ("C", "POSIX"):
            return ENGLISH
        for candidate in (code, code.partition("_")[0]):
            if candidate in there:
                return candidate
    return ENGLISH


def wanted_by(environment: Mapping[str, str]) -> Iterator[str]:
    """The languages that an environment asks for, the best first.

    By the manual of GNU gettext, section 2.3: ``LANGUAGE`` is a list and goes first, unless the
    locale, of which ``LC_ALL`` counts before ``LC_MESSAGES`` and ``LANG``, is "C".

    >>> list(wanted_by({"LANGUAGE": "gl:es", "LANG": "es_ES.UTF-8"}))
    ['gl', 'es', 'es_ES.UTF-8']
    """
    locale = next(filter(None, map(environment.get, ("LC_ALL", "LC_MESSAGES", "LANG"))), "C")
    if locale.partition(".")[0] not in ("C", "POSIX"):
        yield from filter(None, environment.get("LANGUAGE", "").split(":"))
    yield locale


class Catalogue(gettext.GNUTranslations):
    """All texts of a language.

    A text that has a plural as well is kept as its singular alone, and a Python as old as that of
    Debian 12 (3.11.2) finds it there only if it is asked for so.
    """

    def gettext(self, message: str) -> str:
        """The text in this language."""
        said = super().gettext(message)
        return self.ngettext(message, message, 1) if said == message else said

    def pgettext(self, context: str, message: str) -> str:
        """The same of a text whose ``context`` says what it is of."""
        said = super().pgettext(context, message)
        return self.npgettext(context, message, message, 1) if said == message else said


def use_language(code: str, folder: Path | None = None) -> None:
    """Say all later sentences in a language; in English where there is no catalogue of it."""
    if code == ENGLISH:
        return use(gettext.NullTranslations())
    below = folder or resource("languages")
    return use(gettext.translation(DOMAIN, below, [code], class_=Catalogue, fallback=True))


def use(texts: gettext.NullTranslations) -> None:
    """Take all later sentences from this catalogue."""
    global _texts
    _texts = texts


def language() -> str:
    """The language that sentences are in, by its code: ``"en"``."""
    return str(_texts.info().get("language", "")) or ENGLISH


def use_locale(name: str) -> None:
    """Write times of day in all later sentences as a locale such as ``"en_GB"`` has them."""
    global _locale
    _locale = name


def locale_name() -> str:
    """The locale of dates and times, by its name: ``"en_GB"``."""
    return _locale


def locale_of(environment: Mapping[str, str]) -> str:
    """The locale of dates and numbers: that of ``LC_ALL``, ``LC_TIME`` or ``LANG``, in this order
    (POSIX.1-2017, Base Definitions, section 8.2).

    >>> locale_of({"LANG": "de_AT.UTF-8"}), locale_of({"LC_ALL": "C.UTF-8"})
    ('de_AT', 'C')
    """
    for name in ("LC_ALL", "LC_TIME", "LANG"):
        if given := environment.get(name, ""):
            return given.partition(".")[0].partition("@")[0]
    return NO_LOCALE[0]


def noted(text: str) -> str:
    """The text as it is: marks one of a constant, which :func:`tr` translates where it is used."""
    return text


def noted_n(one: str, many: str) -> tuple[str, str]:
    """As :func:`noted`, of the forms for one and for several things; :func:`tr_n` takes them."""
    return one, many


def tr(text: str) -> str:
    """The text in the reader's language."""
    return _texts.gettext(text)


def tr_n(one: str, many: str, n: int) -> str:
    """The form that goes with ``n`` things, in which ``{n}`` is filled in."""
    return _texts.ngettext(one, many, n).replace("{n}", str(n))


def tr_in(context: str, text: str) -> str:
    """A text that is short enough to mean two things; ``context`` says which."""
    return _texts.pgettext(context, text)


def tr_n_in(context: str, one: str, many: str, n: int) -> str:
    """The form that goes with ``n`` things, of a text whose ``context`` says what it is of."""
    return _texts.npgettext(context, one, many, n)
