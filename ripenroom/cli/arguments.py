"""What commands are given: moments, records by their names, and a season to read or to change."""

import argparse
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Protocol, TypeVar
from zoneinfo import ZoneInfo

from ripenroom.cli.answer import say_aside
from ripenroom.paths import copies_folder
from ripenroom.records.crop.crop_names import names_of
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.limits import EARLIEST_YEAR, LATEST_YEAR
from ripenroom.records.refusal import Refusal
from ripenroom.season.season import FileRefusal, Season
from ripenroom.texts import tr

if TYPE_CHECKING:
    from ripenroom.exchange.logger_file.understanding import Understanding
    from ripenroom.exchange.weather_file import WeatherFound
    from ripenroom.season.plans.update import PlanUpdate


def parse_moment(text: str, zone: ZoneInfo, field: str, at_noon: bool = False) -> datetime:
    """An ISO 8601 date or time; without an offset it is read in ``zone``.

    A date alone is its first moment, or its noon. Raises ``Refusal`` naming ``field``.
    """
    try:
        if len(text) <= len("2026-09-14"):
            day = date.fromisoformat(text)
            moment = datetime.combine(day, time(12) if at_noon else time(0), zone)
        else:
            moment = datetime.fromisoformat(text)
    except ValueError:
        raise Refusal(
            field,
            "“{typed}” is not a date; type it as 2026-09-14 or 2026-09-14T08:30.",
            typed=text,
        ) from None
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise Refusal(
            field,
            "“{typed}” is out of reach; the year must be from {earliest} to {latest}.",
            typed=text,
            earliest=EARLIEST_YEAR,
            latest=LATEST_YEAR,
        )
    return moment if moment.tzinfo else moment.replace(tzinfo=zone)


def add_since_argument(parser: argparse.ArgumentParser, help_text: str) -> None:
    """The day as on which the season is read."""
    parser.add_argument("--from", dest="since", metavar="DATE", help=help_text)


def add_at_argument(parser: argparse.ArgumentParser, help_text: str) -> None:
    """The moment as on which the season is read; of a date alone it is noon."""
    parser.add_argument("--at", metavar="DATE", help=help_text)


@contextmanager
def read_as_on(options: argparse.Namespace) -> Iterator[Season]:
    """The season of a command, only read; what is wrong with its crops is said aside."""
    with closing(Season.open(options.season, read_only=True)) as season:
        given = vars(options)
        if given.get("since") is not None:
            season.read_as_on(parse_moment(options.since, season.zone, "--from"))
        if given.get("at") is not None:
            season.read_as_on(parse_moment(options.at, season.zone, "--at", at_noon=True))
        for problem in season.crop_problems:
            say_aside(problem)
        count_on_checks(season)
        yield season


def planned(season: Season) -> "PlanUpdate":
    """The plan of a season, made as the window makes its first, near to yesterday's; which pins
    cannot be kept is said aside."""
    from ripenroom.wording.plan.itineraries import broken_pin_words

    update = season.ask.plan()
    assert update is not None  # nobody calls it off
    for broken in update.plan.broken_pins:
        say_aside(broken_pin_words(broken, season.book))
    return update


def count_on_checks(season: Season) -> None:
    """Learn from what was checked, as the window does: both have to tell the same dates."""
    if season.book.checks or season.book.lessons:
        season.learn()


WAIT_S = 10.0
"""How long a command waits for a season that another has open, if it is not told."""

_LONGEST_WAIT_S = 86_400.0


def add_wait_argument(parser: argparse.ArgumentParser) -> None:
    """How long to wait for a season that is open for changes elsewhere."""
    parser.add_argument(
        "--wait",
        type=_seconds,
        default=WAIT_S,
        metavar="SECONDS",
        help=tr("wait so long for a season that is open elsewhere; {seconds:g} if left out").format(
            seconds=WAIT_S
        ),
    )


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(
            tr("“{text}” is not a number of seconds").format(text=text)
        ) from error
    if not 0.0 <= seconds <= _LONGEST_WAIT_S:
        raise argparse.ArgumentTypeError(
            tr("must be from 0 to {most:g} seconds").format(most=_LONGEST_WAIT_S)
        )
    return seconds


@contextmanager
def changing(options: argparse.Namespace) -> Iterator[Season]:
    """The season of a command, open for changes; raises :class:`FileRefusal` if it cannot be.

    A copy of it is kept first, as the window does; that it could not be is said aside.
    """
    with closing(Season.open(options.season, wait_s=options.wait)) as season:
        if season.read_only_because is not None:
            raise FileRefusal("unwritable", season.read_only_because)
        if not season.practice:
            try:
                season.copies.keep_before_change(copies_folder())
            except FileRefusal as refusal:
                say_aside(
                    tr("No copy of the season could be kept: {message}").format(
                        message=refusal.message
                    )
                )
        yield season


class _Named(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...


_N = TypeVar("_N", bound=_Named)

_ON_A_KEYBOARD = str.maketrans("’‘“”‐‑–—\u00a0", "''\"\"---- ")
"""Letters of printed names, and the nearest ones that every keyboard has."""


def same_name(typed: str, name: str) -> bool:
    """Whether a name is meant by what was typed, in capitals or not and in a keyboard's letters."""
    one, other = (
        " ".join(text.translate(_ON_A_KEYBOARD).casefold().split()) for text in (typed, name)
    )
    return one == other


def crop_key(typed: str, crops: Mapping[str, CropProfile]) -> str:
    """The key of the crop of that key or name (:func:`same_name`)."""
    for key, profile in crops.items():
        if any(same_name(typed, name) for name in (key, *names_of(profile))):
            return key
    known = ", ".join(crops)
    raise Refusal(
        "crop", "There is no crop “{crop}” here. There are: {known}.", crop=typed, known=known
    )


def named(field: str, name: str, there: Mapping[str, _N]) -> _N:
    """The record of that name (:func:`same_name`); refuses ``field`` if there is none."""
    for record in there.values():
        if same_name(name, record.name):
            return record
    known = ", ".join(sorted(record.name for record in there.values())) or tr("none yet")
    raise Refusal(field, "There is no “{name}” here. There are: {known}.", name=name, known=known)


def require_certain(found: "Understanding | WeatherFound") -> None:
    """Refuse what the file alone does not tell, naming the argument that does."""
    from ripenroom.exchange.logger_file.understanding import ReadDoubt

    if ReadDoubt.DATE_ORDER in found.doubts:
        raise Refusal(
            "--dates",
            "Dates in this file could be read in more than one way. Say which: {orders}.",
            orders=tr(" or ").join(found.date_orders),
        )
    if ReadDoubt.UNIT in found.doubts:
        raise Refusal("--unit", "These numbers could be °C or °F. Say which: C or F.")
