"""Every way in for values of any kind, and all that is read of what came in.

Each way takes sound seasons and a source of chance, and says what became of it: ``taken``,
``refused``, or what else there is to count. Anything but a refusal in words is an error.
"""

import csv
import io
import json
import random
import re
import shutil
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import asdict
from datetime import timedelta
from pathlib import Path
from typing import Any

from ripenroom.cli import main
from ripenroom.exchange.calendar_file import season_calendar
from ripenroom.exchange.lesson_file import read_lessons
from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import Corrections, Role
from ripenroom.exchange.season_json import json_text, read_json
from ripenroom.exchange.season_tables import season_tables
from ripenroom.exchange.text_table.source import load
from ripenroom.paths import resource as shipped
from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.copies import Side, rescue_season
from ripenroom.season.fruit_balance import balance
from ripenroom.season.learned import CheckKind
from ripenroom.season.learning.lessons import SharedLesson
from ripenroom.season.practice import demo_book
from ripenroom.season.season import Season
from tests.any_values import (
    Members,
    as_json,
    change_some,
    farm_book,
    members_of,
    other_value,
    write_rows,
)
from tests.season.farm import COLD, NOW
from tests.season.plans.planning import plan_of

PLAN_STEPS = 300

Case = Callable[["Ground", random.Random], str]


class Ground:
    """Sound seasons to begin from, and a folder for what comes of them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.books: list[Book] = [farm_book(), demo_book()]
        self.members: list[Members] = [members_of(book) for book in self.books]
        self.files: list[Path] = []
        for number, book in enumerate(self.books):
            path = folder / f"sound {number}.ripenroom"
            SeasonFile.create(path, book.season, book.records()).close()
            self.files.append(path)
        self.work = folder / "work"

    def clear(self) -> None:
        shutil.rmtree(self.work, ignore_errors=True)
        self.work.mkdir()

    @staticmethod
    def pick(chance: random.Random) -> int:
        """The small farm, and now and then the practice season."""
        return int(chance.random() < 0.1)


def use(season: Season, chance: random.Random) -> None:
    """All that pages and commands read of a season."""
    season.projection()
    season.notices()
    season.supply()
    batches = list(season.book.batches)
    for batch_id in chance.sample(batches, min(2, len(batches))):
        for question in (season.story, season.ask.fruit_left):
            asked(lambda ask=question, key=batch_id: ask(key))  # type: ignore[misc]
        asked(lambda key=batch_id: season.ask.check_design(key, CheckKind.FEEL))  # type: ignore[misc]
        season.place_of(batch_id)
    for place_id in season.book.places:
        season.room_report(place_id)
    balance(season.book, season.crops)
    json_text(season.book)
    if chance.random() < 0.3:
        season_calendar(season, plan_of(season, steps=PLAN_STEPS))
    if chance.random() < 0.15:
        season_tables(season)
        season.learn()
        season.projection()
        season.worth_checking()


def asked(question: Callable[[], object]) -> None:
    """Ask what may be refused in words, and nothing else."""
    with suppress(Refusal):
        question()


def words_of(refusal: Refusal | FileRefusal) -> str:
    """What a refusal says: filled in, and no longer than people read."""
    assert 0 < len(refusal.message) < 1000
    return refusal.message


def use_file(path: Path, chance: random.Random) -> None:
    with closing(Season.open(path)) as season:
        use(season, chance)


# The ways in


def by_opening(ground: Ground, chance: random.Random) -> str:
    number, path = ground.pick(chance), ground.work / "season.ripenroom"
    members = change_some(ground.members[number], chance)
    if not write_rows(path, ground.files[number], members):
        return "not even a row"
    problems = verify(path)
    try:
        use_file(path, chance)
    except FileRefusal as refusal:
        said = words_of(refusal)
    else:
        said = ""
    assert bool(said) == bool(problems), f"opening: {said}; verify: {problems}"
    if said:
        return "refused"
    if chance.random() < 0.04:
        for command in (
            ("windows", path),
            ("plan", path),
            ("rooms", path),
            ("export", path, ground.work / "season.xlsx"),
            ("export", path, ground.work / "season.ics"),
        ):
            assert main([str(part) for part in command]) == 0
    return "taken"


def by_json(ground: Ground, chance: random.Random) -> str:
    source, path = ground.work / "season.json", ground.work / "season.ripenroom"
    members = change_some(ground.members[ground.pick(chance)], chance)
    source.write_text(as_json(members), "utf-8")
    try:
        book = read_json(source)
        SeasonFile.create(path, book.season, book.records()).close()
    except Refusal as refusal:
        words_of(refusal)
        assert not path.exists()
        return "refused"
    assert verify(path) == []
    use_file(path, chance)
    return "taken"


def by_merging(ground: Ground, chance: random.Random) -> str:
    number = ground.pick(chance)
    mine, other = ground.work / "mine.ripenroom", ground.work / "other.ripenroom"
    shutil.copyfile(ground.files[number], mine)
    members = change_some(ground.members[number], chance)
    if not write_rows(other, ground.files[number], members):
        return "not even a row"
    with closing(Season.open(mine)) as season:
        before = season.book
        try:
            meeting = season.copies.meet(other)
            sides: list[Side] = ["mine", "theirs"]
            choices = {conflict.key: chance.choice(sides) for conflict in meeting.conflicts}
            season.do(actions.season.take_in, meeting, choices, other.name)
        except (Refusal, FileRefusal) as refusal:
            words_of(refusal)
            assert season.book is before
            return "refused"
        use(season, chance)
    assert verify(mine) == []
    return "taken"


def by_rescue(ground: Ground, chance: random.Random) -> str:
    number = ground.pick(chance)
    path, target = ground.work / "season.ripenroom", ground.work / "rescued.ripenroom"
    members = change_some(ground.members[number], chance)
    if not write_rows(path, ground.files[number], members):
        return "not even a row"
    if chance.random() < 0.5:
        content = bytearray(path.read_bytes())
        for _ in range(chance.choice((1, 3, 20))):
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        path.write_bytes(content)
    try:
        rescue_season(path, target, "Europe/Lisbon", ground.books[number].season.first_day)
    except (Refusal, FileRefusal) as refusal:
        words_of(refusal)
        assert not target.exists()
        return "refused"
    assert verify(target) == []
    use_file(target, chance)
    return "taken"


def by_lessons(ground: Ground, chance: random.Random) -> str:
    source, path = ground.work / "lessons.json", ground.work / "season.ripenroom"
    lesson = SharedLesson(
        "pawpaw",
        chance.choice((None, "Early")),
        0.2,
        0.1,
        6,
        0.8,
        20.0,
        *chance.choice(((None,) * 4, (0.3, 0.15, 1.67, 20.0))),
    )
    values: dict[str, Any] = asdict(lesson)
    for name in chance.sample(list(values), chance.choice((1, 1, 2, 4))):
        values[name] = other_value(SharedLesson, name, values[name], chance)
    whole = {
        "format": "ripenroom lessons",
        "version": 2,
        "taught_by": "2025",
        "lessons": [values],
    }
    source.write_text(json.dumps(whole), "utf-8")
    shutil.copyfile(ground.files[0], path)
    with closing(Season.open(path)) as season:
        try:
            season.do(actions.lessons.take, read_lessons(source))
        except Refusal as refusal:
            words_of(refusal)
            return "refused"
        season.learn()
        use(season, chance)
    assert verify(path) == []
    return "taken"


_NUMBER = re.compile(r"(?<![\w.-])-?\d+(?:\.\d+)?(?![\w.-])")


def by_crop(ground: Ground, chance: random.Random) -> str:
    crop = chance.choice(("pawpaw", "pear", "avocado", "tomato", "banana", "anjou", "kiwifruit"))
    lines = shipped("crops", f"{crop}.toml").read_text("utf-8").splitlines()
    figures = [n for n, line in enumerate(lines) if re.match(r"^\w+ *= *[\d{\[-]", line)]
    for n in chance.sample(figures, min(len(figures), chance.choice((1, 1, 2, 5)))):
        found = list(_NUMBER.finditer(lines[n]))
        if found:
            one = chance.choice(found)
            old = float(one.group())
            near = (old * 1.3, old * 0.7, old * 10.0, old / 10.0, -old, 0.0)
            new = chance.choice((*near, 1e308, 1e-308, 99999.0, 2**70))
            lines[n] = f"{lines[n][: one.start()]}{new}{lines[n][one.end() :]}"
    path = ground.work / "season.ripenroom"
    shutil.copyfile(ground.files[0], path)
    with closing(Season.open(path)) as season:
        try:
            season.do(actions.crops.save, "\n".join(lines))
        except Refusal as refusal:
            words_of(refusal)
            return "refused"
        season.crop_curves(crop)
        use(season, chance)
    assert verify(path) == []
    return "taken"


_CELLS = (
    *("", "-1", "0", "1e308", "NaN", "99999999999", "0.0001", "=1+1", "1,5", "x" * 300, "½", "\0"),
    *("2026-09-30", "9999-12-31", "0001-01-01", "31.02.2026", "2026-10-25 02:30", "hard", "lbf"),
    *("pawpaw", "medlar", "Cold", "Early", "nobody", "3 9 6 2", "12; 14", "70", "°F", "cold room"),
)


def by_table(ground: Ground, chance: random.Random) -> str:
    tables = {
        "picks": [
            ["batch", "crop", "picked", "place", "count", "weight (kg)", "pulp (°C)", "hard"],
            ["N-1", "pawpaw", "2026-09-30 09:00", "Cold", "20", "4.1", "21.5", "20"],
            ["N-2", "pear", "2026-09-29 09:00", "Shelf", "12", "", "", "12"],
        ],
        "checks": [
            ["batch", "checked", "hard", "slight give", "gives", "soft", "readings", "unit"],
            ["P-0930-0", "2026-10-01 07:00", "2", "3", "1", "0", "", ""],
            ["P-0929-9", "2026-10-01 07:10", "", "", "", "", "12.5 13", "N"],
        ],
        "market-days": [
            ["market day", "kind", "date", "eaten within days", "crop", "wanted", "price"],
            ["Quay", "market", "2026-10-09 08:00", "2", "pawpaw", "30", "2.5"],
            ["Fair", "festival", "2026-10-12 10:00", "0", "pear", "8", "1"],
        ],
        "places": [
            ["place", "kind", "set point (°C)", "half-cooling (h)", "swing (K)", "room for crates"],
            ["New room", "cold room", "4", "8", "1", "12"],
            ["New shelf", "cool shelf", "14", "9", "0.5", "9"],
        ],
    }
    kind = chance.choice(list(tables))
    rows = tables[kind]
    for _ in range(chance.choice((1, 1, 2, 5))):
        row = chance.choice(rows[1:])
        row[chance.randrange(len(row))] = chance.choice(_CELLS)
    sheet, path = ground.work / "table.csv", ground.work / "season.ripenroom"
    written = io.StringIO()
    csv.writer(written).writerows(rows)
    sheet.write_text(written.getvalue(), "utf-8", newline="")
    shutil.copyfile(ground.files[0], path)
    said = ["--kind", kind, "--dates", "dmy", "--yes", "--crop", "pawpaw", "--place", "Cold"]
    code = main(["import", str(path), str(sheet), *said])
    assert code in (0, 2)
    assert verify(path) == []
    use_file(path, chance)
    return "taken" if code == 0 else "a row refused"


_STAMPED = ("1970-01-01 00:00", "9999-12-31 23:59", "2026-10-25 01:30", "2026-09-30 10:00", "", "x")
_READ = ("-40", "70", "70.01", "1e308", "NaN", "-127", "", "85", "3,5", "4.999999999", "x")


def by_log(ground: Ground, chance: random.Random) -> str:
    began = NOW - timedelta(days=chance.choice((1, 20, 399, 900)))
    step = timedelta(minutes=chance.choice((1, 10, 60, 1440)))
    rows = [
        [f"{began + n * step:%Y-%m-%d %H:%M}", f"{4 + n % 7 / 3:.2f}"]
        for n in range(chance.choice((1, 2, 50, 400)))
    ]
    for _ in range(chance.choice((0, 1, 3, 30))):
        column = chance.randrange(2)
        chance.choice(rows)[column] = chance.choice((_STAMPED, _READ)[column])
    if chance.random() < 0.2:
        chance.shuffle(rows)
    source, path = ground.work / "fridge.csv", ground.work / "season.ripenroom"
    source.write_text("time;T (°C)\n" + "\n".join(map(";".join, rows)), "utf-8")
    shutil.copyfile(ground.files[0], path)
    with closing(Season.open(path)) as season:
        try:
            home = Home(season.zone, season.now())
            found = read(load(source), home, Corrections())
            for series in found.series:
                if found.columns[series.column].role is Role.TEMPERATURE:
                    season.do(
                        actions.places.add_log,
                        COLD,
                        "fridge.csv",
                        "1",
                        series.times_s,
                        series.celsius,
                    )
        except Refusal as refusal:
            words_of(refusal)
            return "refused"
        use(season, chance)
    assert verify(path) == []
    return "taken"


WAYS: dict[str, Case] = {
    "opening": by_opening,
    "JSON": by_json,
    "merging": by_merging,
    "rescue": by_rescue,
    "lessons": by_lessons,
    "crops": by_crop,
    "tables": by_table,
    "logs": by_log,
}
