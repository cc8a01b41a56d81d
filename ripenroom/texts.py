"""Every sentence in the reader's language, by gettext: ``tr``, ``tr_n``, ``tr_in``.

The English text stands in the code and is the key of its translation; where none is known, it is
shown as it is. Values are filled into a translated text afterwards, by ``str.format``.
"""

import gettext

_texts = gettext.NullTranslations()


def language() -> str:
    """The language that sentences are in, by its code: ``"en"``."""
    return str(_texts.info().get("language", "")) or "en"


def use(texts: gettext.NullTranslations) -> None:
    """Take all later sentences from this catalogue."""
    global _texts
    _texts = texts


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
