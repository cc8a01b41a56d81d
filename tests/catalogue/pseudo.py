"""A language that nobody speaks, made of English: what it does not reach is not translated.

Letters get accents and texts grow by a third, as they do in German or Spanish (IBM's guide to
globalization reckons with 30 % for texts of more than 70 letters, and more for shorter ones); what
stands between braces stays.
"""

import io
import re
from collections.abc import Callable
from functools import cache

from ripenroom.texts import Catalogue
from tests.catalogue.template import compiled, filled, template

CODE = "qps"
"""Of those that ISO 639 leaves to private use (qaa to qtz)."""

_ACCENTS = str.maketrans("aceinosuyACEINOSUY", "áçéíñóšúýÁÇÉÍÑÓŠÚÝ")
_HEBREW = str.maketrans("abcdefghijklmnopqrstuvwxyz", "שבצגדהחטיזכלמנןפקרסתוךםףץע")
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


def pseudo_from_the_right(text: str) -> str:
    """A text in letters that are read from right to left, as a language of such would have it.

    >>> pseudo_from_the_right("{count} crates of &code")
    '{count} צרשתדס ןה &cןגד'
    """
    parts = _PLACE.split(text)
    return "".join(
        part if place else part.casefold().translate(_HEBREW) for place, part in _alternating(parts)
    )


@cache
def pseudo_texts(said: Callable[[str], str] = pseudo) -> Catalogue:
    """All sentences in that language, or another in which a text is ``said``."""
    catalog = filled(template(), said)
    texts = Catalogue(io.BytesIO(compiled(catalog)))
    texts.info()["language"] = CODE
    return texts
