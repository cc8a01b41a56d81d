"""Commands on whole season files: ``demo``, ``verify``, ``rescue`` and ``merge``."""

import argparse
import os
from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from ripenroom.cli.answer import FINE, say_aside, say_bad_use, say_not_a_good_file
from ripenroom.cli.arguments import add_wait_argument, changing
from ripenroom.cli.output import after_writing
from ripenroom.records.batch import Batch
from ripenroom.records.book import Book, Record
from ripenroom.records.refusal_words import what_is
from ripenroom.records.season import SeasonDetails, usual_territory, usual_units
from ripenroom.season import actions
from ripenroom.season.copies import Conflict, Merge, Side
from ripenroom.texts import locale_of, noted, tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.record_fields import field_words, value_words


def add_demo_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``demo``."""
    parser.add_argument("file", type=Path, help=tr("season file to make"))
    parser.add_argument(
        "--units",
        choices=("metric", "us"),
        help=tr("units it is read in; your country's if left out"),
    )


def run_demo(options: argparse.Namespace) -> int:
    """Write the practice season to a new file."""
    from ripenroom.season.practice import write_demo

    write_demo(options.file, options.units or usual_units(), usual_territory())
    done = tr("The practice season is in {file}").format(file=options.file)
    with after_writing(done):
        print(done)
    return FINE


def add_verify_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``verify``."""
    parser.add_argument("season", type=Path, help=tr("season file"))


def run_verify(options: argparse.Namespace) -> int:
    """Say whether a season file is sound; several problems are listed.

    It is not wherever any command would refuse it, or leave some of it out.
    """
    from ripenroom.records.file import verify

    path = options.season
    if problems := verify(path):
        return _say_unsound(
            path, problems, tr("Leave it as it is; rescue saves what can be read of it.")
        )
    if problems := _left_out(path):
        return _say_unsound(
            path, problems, tr("It opens, but has no dates for these. Fix them in the window.")
        )
    print(tr("{file} is sound").format(file=path.name))
    return FINE


def _say_unsound(path: Path, problems: Sequence[str], advice: str) -> int:
    if len(problems) == 1:
        return say_not_a_good_file(problems[0])
    for problem in problems:
        print(problem)
    return say_not_a_good_file(
        tr_n(
            "{file} is not sound: {n} problem is listed. {advice}",
            "{file} is not sound: {n} problems are listed. {advice}",
            len(problems),
        ).format(file=path.name, advice=advice)
    )


def _left_out(path: Path) -> list[str]:
    """What no command can work anything out for, in a file that opens."""
    from ripenroom.records.file import SeasonFile
    from ripenroom.season.copies import left_out

    with closing(SeasonFile.open(path, read_only=True)) as file:
        return list(left_out(file.read()))


def add_rescue_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``rescue``."""
    parser.add_argument("file", type=Path, help=tr("damaged season file; it is only read"))
    parser.add_argument("target", type=Path, help=tr("season file to make, never over another"))
    parser.add_argument(
        "--zone",
        default="UTC",
        help=tr("home time zone, such as Europe/Dublin, in case the season's own was lost"),
    )


def run_rescue(options: argparse.Namespace) -> int:
    """Put what can be read into a new file, and say what that is and what was lost."""
    from ripenroom.season.copies import rescue_season

    if options.zone not in available_timezones():
        return say_bad_use(
            tr("--zone: “{zone}” is not a time zone; write it as Europe/Dublin.").format(
                zone=options.zone
            )
        )
    first_day = datetime.now().astimezone().date()
    found = rescue_season(options.file, options.target, options.zone, first_day)
    counts: dict[type, int] = {}
    for record in found.book.records():
        counts[type(record)] = counts.get(type(record), 0) + 1
    saved = _counted(counts.items()) or tr("the season alone")
    done = tr("Saved in {target}: {records}").format(target=options.target, records=saved)
    if lost := _counted(found.lost.items()):
        say_aside(tr("Lost: {lost}.").format(lost=lost))
    if found.season_is_lost and not found.all_details_are_lost:
        details = ", ".join(
            tr(_DETAILS[name]) if name in _DETAILS else name.replace("_", " ")
            for name in found.lost_details
        )
        say_aside(
            tr(
                "These season details were lost and filled in again: {details}. Look at them."
            ).format(details=details)
        )
    elif found.season_is_lost:
        say_aside(
            tr("The season details were lost: look at its name, time zone, units and currency.")
        )
    if found.torn:
        say_aside(
            tr(
                "Parts of the file were read piece by piece: what you had deleted may be "
                "back, and more may be missing."
            )
        )
    with after_writing(done):
        print(done)
    return FINE


def add_merge_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``merge``."""
    parser.add_argument("season", type=Path, help=tr("season file that takes the changes in"))
    parser.add_argument("other", type=Path, help=tr("copy of it that was changed apart; only read"))
    side = parser.add_mutually_exclusive_group()
    side.add_argument(
        "--mine",
        dest="side",
        action="store_const",
        const="mine",
        help=tr("where both were changed differently, SEASON counts"),
    )
    side.add_argument(
        "--theirs",
        dest="side",
        action="store_const",
        const="theirs",
        help=tr("where both were changed differently, OTHER counts"),
    )
    add_wait_argument(parser)


def run_merge(options: argparse.Namespace) -> int:
    """Bring changes of a copy in as one action; nothing is, while conflicts are undecided."""
    side: Side | None = options.side
    with changing(options) as season:
        meeting = season.copies.meet(options.other)
        if meeting.conflicts and side is None:
            for conflict in meeting.conflicts:
                print(_conflict_line(conflict, meeting))
            text = tr_n(
                "{n} record was changed in both, so nothing was saved. Repeat with --mine to "
                "keep that of {mine}, or with --theirs to take that of {theirs}.",
                "{n} records were changed in both, so nothing was saved. Repeat with --mine "
                "to keep those of {mine}, or with --theirs to take those of {theirs}.",
                len(meeting.conflicts),
            )
            return say_bad_use(text.format(mine=options.season.name, theirs=options.other.name))
        choices: dict[str, Side] = {c.key: side or "mine" for c in meeting.conflicts}
        found = meeting.changes(choices)
        if not found:
            print(tr("Everything in {other} is here already").format(other=options.other.name))
            return FINE
        season.do(actions.season.take_in, meeting, choices, options.other.name)
        come = sum(1 for change in found if change.before is None)
        gone = sum(1 for change in found if change.after is None)
    if meeting.base is None:
        say_aside(
            tr("It is not known when the two copies were last the same, so nothing was deleted.")
        )
    done = tr_n(
        "From {other}: {n} record added, {changed} changed, {gone} deleted. Undo takes that back.",
        "From {other}: {n} records added, {changed} changed, {gone} deleted. Undo takes that back.",
        come,
    ).format(other=options.other.name, changed=len(found) - come - gone, gone=gone)
    with after_writing(done):
        print(done)
    return FINE


_DETAILS = {
    "zone": noted("time zone"),
    "practice_now": noted("time of the practice season"),
    "crates_moved_per_evening": noted("crates moved in an evening"),
    "crate_move_minor": noted("cost of moving a crate"),
}


def _counted(counts: Iterable[tuple[type, int]]) -> str:
    return ", ".join(
        tr("{count} {records}").format(count=count, records=what_is(kind, count))
        for kind, count in counts
        if kind is not SeasonDetails
    )


def _conflict_line(conflict: Conflict, meeting: Merge) -> str:
    season = meeting.mine.season
    words = Formats(locale_of(os.environ), season, ZoneInfo(season.zone))
    record, books = conflict.record, (meeting.mine, meeting.theirs)
    name = next((found for book in books if (found := _name(record, book))), record.id)
    if conflict.mine is None or conflict.theirs is None:
        how = tr("deleted here, changed there")
        if conflict.theirs is None:
            how = tr("changed here, deleted there")
    else:
        how = "; ".join(
            tr("{field} is {mine} here, {theirs} there").format(
                field=field_words(field),
                mine=value_words(conflict.mine, field, meeting.mine, words),
                theirs=value_words(conflict.theirs, field, meeting.theirs, words),
            )
            for field in conflict.differs_in
        )
    return f"{what_is(type(record))}: {name}: {how}"


def _name(record: Record, book: Book) -> str:
    """What a grower calls a record: its code or name, or that of the batch or place it is of."""
    if isinstance(record, Batch):
        return record.code
    if name := getattr(record, "name", ""):
        return str(name)
    if batch := book.batches.get(getattr(record, "batch_id", "")):
        return batch.code
    place = book.places.get(getattr(record, "place_id", ""))
    return place.name if place else ""
