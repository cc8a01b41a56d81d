"""``ripenroom pack``: what to take to a market day, and what was squeezed as it was packed."""

import argparse
from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from ripenroom.cli.answer import (
    FINE,
    LINES,
    add_table_arguments,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import (
    add_wait_argument,
    changing,
    count_on_checks,
    parse_moment,
    planned,
    read_as_on,
    same_name,
)
from ripenroom.cli.output import after_writing
from ripenroom.records.market import MarketDay
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed, TooSoft, can_be_packed
from ripenroom.season.season import Season
from ripenroom.wording.names import crop_name

if TYPE_CHECKING:
    import pandas as pd

    from ripenroom.season.packing import PackingList
    from ripenroom.wording.reader import Reader
from ripenroom.texts import tr

_SOFT = {"thrown": TooSoft.THROWN, "second": TooSoft.SECOND_GRADE, "stays": TooSoft.STAYS}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    parser.add_argument(
        "market",
        nargs="?",
        default="",
        help=tr(
            'name of the market day, its date, or both: "2026-10-03 Quayside market"; of '
            "several of that name the next"
        ),
    )
    parser.add_argument(
        "squeezed",
        nargs="*",
        metavar="BATCH=TAKEN,FIRM,SOFT",
        help=tr(
            "fruit of a batch that was squeezed: taken, left at home as too firm, and "
            "too soft, such as P-0914-2=31,14,2; what is left out is 0. Take what is good to sell, "
            "ready now or within the days that these buyers keep it: the list says how many. "
            "Without any the list is printed"
        ),
    )
    parser.add_argument("--at", metavar="TIME", help=tr("when it was squeezed; now if left out"))
    parser.add_argument(
        "--soft",
        choices=list(_SOFT),
        default="thrown",
        help=tr(
            "what becomes of fruit that is too soft: thrown away (if left out), sold as "
            "second grade, or kept with the batch"
        ),
    )
    add_wait_argument(parser)


def run(options: argparse.Namespace) -> int:
    """Print or write the list; with counts, write them down and say how many are still to go."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    if not options.squeezed:
        if options.at is not None:
            return say_bad_use(tr("--at: say what was squeezed then, such as P-0914-2=31,14,2."))
        return _print_list(options)
    if options.csv is not None:
        return say_bad_use(tr("--csv: that is for the list alone; leave the counts out."))
    return _write_down(options)


def _print_list(options: argparse.Namespace) -> int:
    options.since = None
    with read_as_on(options) as season:
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.plan_tables import packing_table
        from ripenroom.wording.plan.itineraries import market_words

        day = market_day(season, options.market)
        packing = season.ask.packing_list(day.id, planned(season).plan)
        if options.csv is not None:
            return write_table(packing_table(season, packing), options.csv, LINES)
        reader = CommandReader(season)
        print(market_words(day.id, reader))
        for part in _parts(packing, packing_table(season, packing, tr), reader):
            print(part)
    return FINE


def _parts(packing: "PackingList", table: "pd.DataFrame", reader: "Reader") -> Iterator[str]:
    """What the paper says, each sentence above the rows of the table that it is about."""
    from ripenroom.cli.printed_table import printed_table
    from ripenroom.exchange.plan_tables import LEAVE, OPEN_NEXT, TAKE
    from ripenroom.wording.packing import next_words, wanted_words

    def rows(crop: str, do: str) -> Iterator[str]:
        found = table[(table["crop"] == crop) & (table["do"] == do)]
        if len(found):
            yield printed_table(found, reader)

    for crop in packing.crops:
        yield wanted_words(crop, crop_name(reader.season.crops, crop.crop), reader.words)
        yield from rows(crop.crop, TAKE)
        if crop.open_next:
            yield next_words(crop)
            yield from rows(crop.crop, OPEN_NEXT)
        if crop.leave:
            yield tr("Leave at home:")
            yield from rows(crop.crop, LEAVE)
    if not packing.crops:
        yield tr("No fruit is wanted there, and none is planned for it.")
    elif not len(table):
        yield tr("No fruit to pack.")


def _write_down(options: argparse.Namespace) -> int:
    with changing(options) as season:
        day = market_day(season, options.market)
        squeezed = [_squeezed(season, typed) for typed in options.squeezed]
        _require_once(season, squeezed, options.squeezed)
        at = season.now()
        if options.at is not None:
            at = parse_moment(options.at, season.zone, "--at")
        try:
            season.do(actions.packing.pack_squeezed, day.id, squeezed, at, _SOFT[options.soft])
        except Refusal as refusal:
            return say_bad_use(f"{_typed(season, refusal, options.squeezed)}{refusal.message}")
        taken = sum(one.taken for one in squeezed)
        done = tr("Saved: {taken} fruit packed for {day}").format(taken=taken, day=day.name)
        with after_writing(done):
            print(done + ".")
            for sentence in _still_to_go(season, day):
                print(sentence)
    return FINE


def _still_to_go(season: Season, day: MarketDay) -> list[str]:
    """How many of each wanted crop are packed by now."""
    count_on_checks(season)
    found = []
    for crop in season.ask.packing_list(day.id, None).crops:
        name = crop_name(season.crops, crop.crop)
        text = tr("{crop}: {packed} packed, {wanted} wanted.")
        found.append(text.format(crop=name, packed=crop.packed, wanted=crop.wanted))
    return found


def market_day(season: Season, typed: str) -> MarketDay:
    """The market day that is meant: the next of that name or date of which nothing is settled."""
    known = sorted(season.book.market_days.values(), key=lambda day: (day.starts_at, day.id))
    now = season.now()
    ahead = [day for day in known if can_be_packed(day, now)]
    if not typed.strip():
        raise Refusal(
            "market",
            "Say which market day: its name, its date, or both. Ahead: {ahead}.",
            ahead=_listed(season, ahead),
        )
    first, _, rest = typed.strip().partition(" ")
    on, name = _date(first), typed.strip()
    if on is not None:
        name = rest.strip()
    meant = [
        day
        for day in known
        if (not name or same_name(name, day.name))
        and (on is None or day.starts_at.astimezone(season.zone).date() == on)
    ]
    if not meant:
        raise Refusal(
            "market",
            "There is no market day “{name}”; ahead: {ahead}.",
            name=typed,
            ahead=_listed(season, ahead),
        )
    if on is not None and not name and len(meant) > 1:
        raise Refusal(
            "market",
            "There are several on that day: {names}. Give the name as well.",
            names=", ".join(day.name for day in meant),
        )
    still = [day for day in meant if day in ahead]
    if not still:
        raise Refusal("market", "“{name}” is over.", name=meant[-1].name)
    return still[0]


def _listed(season: Season, days: Sequence[MarketDay]) -> str:
    from ripenroom.exchange.plan_tables import day_label

    return ", ".join(day_label(season, day.id) for day in days) or "none"


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _squeezed(season: Season, typed: str) -> Squeezed:
    code, equals, counts = typed.partition("=")
    batch = next(
        (b for b in season.book.batches.values() if b.code.casefold() == code.strip().casefold()),
        None,
    )
    if not equals:
        raise Refusal(
            "",
            "“{typed}”: write a batch and its fruit, such as P-0914-2=31,14,2.",
            typed=typed,
        )
    if batch is None:
        raise Refusal("", "There is no batch “{code}” in this season.", code=code)
    numbers = counts.split(",")
    if len(numbers) > 3 or not all(part.strip().isdecimal() for part in numbers):
        raise Refusal(
            "",
            "“{typed}”: after the batch come up to three whole numbers: taken, too firm, too soft.",
            typed=typed,
        )
    whole = [_whole(part) for part in numbers]
    taken, firm, soft = [*whole, 0, 0][:3]
    return Squeezed(batch.id, taken, firm, soft)


def _require_once(season: Season, squeezed: Sequence[Squeezed], typed: Sequence[str]) -> None:
    """Refuse a batch that is there twice, with what to type in place of both."""
    for one in squeezed:
        own = [n for n, other in enumerate(squeezed) if other.batch_id == one.batch_id]
        if len(own) > 1:
            counts = [(s.taken, s.firm, s.soft) for s in (squeezed[n] for n in own)]
            taken, firm, soft = (sum(part) for part in zip(*counts, strict=True))
            code = season.book.batches[one.batch_id].code
            raise Refusal(
                "",
                "{code} is there twice: {typed}. If both count, type {together} for them.",
                code=code,
                typed=", ".join(typed[n] for n in own),
                together=f"{code}={taken},{firm},{soft}",
            )


def _whole(text: str) -> int:
    """A number; one with more digits than any count is as good as too many."""
    return int(text.strip()[:9])


def _typed(season: Season, refusal: Refusal, squeezed: Sequence[str]) -> str:
    """What was typed of the batch or the time that is refused."""
    if refusal.field == "at":
        return "--at: "
    _, _, batch_id = refusal.field.partition(" ")
    batch = season.book.batches.get(batch_id)
    if batch is None:
        return ""
    own = [typed for typed in squeezed if typed.casefold().startswith(batch.code.casefold() + "=")]
    return f"{own[-1]}: " if own else ""
