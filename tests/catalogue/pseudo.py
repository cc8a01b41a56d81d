"""A language that nobody speaks, made of English: what it does not reach is not translated.

Letters get accents and texts grow by a third, as they do in German or Spanish (IBM's guide to
globalization reckons with 30 % for texts of more than 70 letters, and more for shorter ones); what
stands between braces stays.
"""

import gettext
import io
import re
from functools import cache

from tests.catalogue.template import compiled, filled, template

CODE = "qps"
"""Of those that ISO 639 leaves to private use (qaa to qtz)."""

_ACCENTS = str.maketrans("aceinosuyACEINOSUY", "áçéíñóšúýÁÇÉÍÑÓŠÚÝ")
_PLACE = re.compile(r"(\{[^{}]*\}|&.|\n)")


def pseudo(text: str) -> str:
    """A text in that language.

    >>> pseudo("{count} crates of {code}")
    '{count} çrátéš óf {code} ~~~~~'
    """
    parts = _PLACE.split(text)
    said = "".join(
        part if place else part.translate(_ACCENTS) for place, part in _alternating(parts)
    )
    blank = said[len(said.rstrip()) :]
    return f"{said.rstrip()} {'~' * max(1, round(0.3 * len(_PLACE.sub('', text))))}{blank}"


def _alternating(parts: list[str]) -> list[tuple[bool, str]]:
    return [(number % 2 == 1, part) for number, part in enumerate(parts)]


@cache
def pseudo_texts() -> gettext.GNUTranslations:
    """All sentences in that language."""
    catalog = filled(template(), pseudo)
    texts = gettext.GNUTranslations(io.BytesIO(compiled(catalog)))
    texts.info()["language"] = CODE
    return texts
