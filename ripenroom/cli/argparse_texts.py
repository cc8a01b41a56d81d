"""What argparse says itself, in the reader's language.

It asks Python's own gettext, whose catalogue for argparse comes with no Python; ours is put in its
place. What a later Python words anew stays English.
"""

import argparse
import gettext
from typing import Final

from ripenroom.paths import resource
from ripenroom.texts import DOMAIN, noted, noted_n

TEXTS: Final = (
    noted("usage: "),
    noted("positional arguments"),
    noted("options"),
    noted("show this help message and exit"),
    noted("the following arguments are required: %s"),
    noted("unrecognized arguments: %s"),
    noted("ambiguous option: %(option)s could match %(matches)s"),
    noted("ignored explicit argument %r"),
    noted("expected one argument"),
    noted("expected at least one argument"),
    noted_n("expected %s argument", "expected %s arguments"),
    noted("not allowed with argument %s"),
    noted("argument %(argument_name)s: %(message)s"),
    noted("invalid choice: %(value)r (choose from %(choices)s)"),
    noted("invalid %(type)s value: %(value)r"),
)


def translate() -> None:
    """Have argparse say all that in the language that the environment asks for."""
    gettext.bindtextdomain(DOMAIN, str(resource("languages")))
    gettext.textdomain(DOMAIN)


def usage_of(parser: argparse.ArgumentParser) -> str:
    """How its command is written. ``parse_intermixed_args`` works that out itself if nobody says
    it, but takes away as many letters as "usage: " has, whatever stands there."""
    return parser.format_usage().removeprefix(gettext.gettext("usage: ")).rstrip()
