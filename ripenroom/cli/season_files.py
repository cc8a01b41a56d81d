"""Commands on whole season files: ``demo``, ``verify``, ``rescue`` and ``merge``."""

import argparse
from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path
from zoneinfo import available_timezones

from ripenroom.cli.answer import FINE, say_aside, say_bad_use, say_not_a_good_file
from ripenroom.cli.arguments import add_wait_argument, changing
from ripenroom.cli.output import after_writing
from ripenroom.records.batch import Batch
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.season import SeasonDetails, UnitSystem
from ripenroom.records.wording import counted, what_is
from ripenroom.season import actions
from ripenroom.season.copies import Conflict, Merge, Side


def add_demo_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``demo``."""
    parser.add_argument("file", type=Path, help="season file to make")
    parser.add_argument(
        "--units", choices=("metric", "us"), help="units it is read in; your country's if left out"
    )


def run_demo(options: argparse.Namespace) -> int:
    """Write the practice season to a new file."""
    from ripenroom.season.practice import write_demo

    write_demo(options.file, options.units or _usual_units())
    done = f"The practice season is in {options.file}"
    with after_writing(done):
        print(done)
    return FINE


def _usual_units() -> UnitSystem:
    """US units where the environment names a country that has them (CLDR, from memory)."""
    from babel import default_locale

    territory = (default_locale("LC_MEASUREMENT") or "").rpartition("_")[2]
    return "us" if territory in ("US", "LR", "MM") else "metric"


def add_verify_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``verify``."""
    parser.add_argument("season", type=Path, help="season file")


def run_verify(options: argparse.Namespace) -> int:
    """Say whether a season file is sound; several problems are listed.

    It is not wherever any command would refuse it, or leave some of it out.
    """
    from ripenroom.records.file import verify

    path = options.season
    if problems := verify(path):
        return _say_unsound(path, problems, "Leave it as it is and open an earlier copy of it.")
    if problems := _left_out(path):
        return _say_unsound(
            path, problems, "It opens, but no dates are given for these. Put that right there."
        )
    print(f"{path.name} is sound")
    return FINE


def _say_unsound(path: Path, problems: Sequence[str], advice: str) -> int:
    if len(problems) == 1:
        return say_not_a_good_file(problems[0])
    for problem in problems:
        print(problem)
    return say_not_a_good_file(
        f"{path.name} is not sound: {len(problems)} problems are listed. {advice}"
    )


def _left_out(path: Path) -> list[str]:
    """What no command can work anything out for, in a file that opens."""
    from ripenroom.records.file import SeasonFile
    from ripenroom.season.copies import left_out

    with closing(SeasonFile.open(path, read_only=True)) as file:
        return list(left_out(file.read()))


def add_rescue_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``rescue``."""
    parser.add_argument("file", type=Path, help="damaged season file; it is only read")
    parser.add_argument("target", type=Path, help="season file to make, never over another")
    parser.add_argument(
        "--zone",
        default="UTC",
        help="home time zone, such as Europe/Dublin, in case the season's own was lost",
    )


def run_rescue(options: argparse.Namespace) -> int:
    """Put what can be read into a new file, and say what that is and what was lost."""
    from ripenroom.season.rescuing import rescue_season

    if options.zone not in available_timezones():
        return say_bad_use(f"--zone: “{options.zone}” is no time zone; write it as Europe/Dublin.")
    first_day = datetime.now().astimezone().date()
    found = rescue_season(options.file, options.target, options.zone, first_day)
    counts: dict[type, int] = {}
    for record in found.book.records():
        counts[type(record)] = counts.get(type(record), 0) + 1
    done = f"Saved in {options.target}: {_counted(counts.items()) or 'the season alone'}"
    if lost := _counted(found.lost.items()):
        say_aside(f"Lost: {lost}.")
    if found.season_is_lost and not found.all_details_are_lost:
        details = ", ".join(
            _DETAILS.get(name, name.replace("_", " ")) for name in found.lost_details
        )
        say_aside(
            f"Of the season's own details these were lost and replaced: {details}. Look at them."
        )
    elif found.season_is_lost:
        say_aside(
            "The season's own details were lost: look at its name, time zone, units and currency."
        )
    if found.torn:
        say_aside(
            "Parts could only be read piece by piece: what was deleted may be back, and how much "
            "is missing is not known."
        )
    with after_writing(done):
        print(done)
    return FINE


def add_merge_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``merge``."""
    parser.add_argument("season", type=Path, help="season file that takes the changes in")
    parser.add_argument("other", type=Path, help="copy of it that was changed apart; only read")
    side = parser.add_mutually_exclusive_group()
    side.add_argument(
        "--mine",
        dest="side",
        action="store_const",
        const="mine",
        help="where both were changed differently, SEASON counts",
    )
    side.add_argument(
        "--theirs",
        dest="side",
        action="store_const",
        const="theirs",
        help="where both were changed differently, OTHER counts",
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
            many = len(meeting.conflicts)
            return say_bad_use(
                f"{many} {'record was' if many == 1 else 'records were'} changed on both sides, "
                f"so nothing was written. Repeat with --mine to keep what {options.season.name} "
                f"says, or with --theirs to take what {options.other.name} says."
            )
        choices: dict[str, Side] = {c.key: side or "mine" for c in meeting.conflicts}
        found = meeting.changes(choices)
        if not found:
            print(f"Everything in {options.other.name} is here already")
            return FINE
        season.do(actions.copies.take_in, meeting, choices, options.other.name)
        come = sum(1 for change in found if change.before is None)
        gone = sum(1 for change in found if change.after is None)
    if meeting.base is None:
        say_aside("What the two were before they parted is not known, so nothing was deleted.")
    done = (
        f"From {options.other.name}: {counted(come, 'records')} came, "
        f"{len(found) - come - gone} changed, {gone} went. Undo takes that back."
    )
    with after_writing(done):
        print(done)
    return FINE


_DETAILS = {
    "zone": "time zone",
    "practice_now": "moment of practice",
    "crates_moved_per_evening": "crates moved in an evening",
    "crate_move_minor": "cost of carrying a crate",
}


def _counted(counts: Iterable[tuple[type, int]]) -> str:
    return ", ".join(_count_of(kind, count) for kind, count in counts if kind is not SeasonDetails)


def _count_of(kind: type, count: int) -> str:
    return f"1 {what_is(kind)}" if count == 1 else f"{count} {_kind(kind)}"


def _kind(kind: type) -> str:
    return "season" if kind is SeasonDetails else SHELF_OF[kind].replace("_", " ")


def _conflict_line(conflict: Conflict, meeting: Merge) -> str:
    record, books = conflict.record, (meeting.mine, meeting.theirs)
    name = next((found for book in books if (found := _name(record, book))), record.id)
    if conflict.mine is None or conflict.theirs is None:
        here, there = (
            "deleted" if side is None else "changed" for side in (conflict.mine, conflict.theirs)
        )
        how = f"{here} here, {there} there"
    else:
        how = "; ".join(
            f"{field} is {_value(conflict.mine, field)} here, "
            f"{_value(conflict.theirs, field)} there"
            for field in conflict.differs_in
        )
    return f"{_kind(type(record))}: {name}: {how}"


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


def _value(record: Record, field: str) -> str:
    value = getattr(record, field)
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M %Z}"
    return "nothing" if value in (None, "") else str(value)
