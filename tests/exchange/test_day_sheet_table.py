"""The day sheet as a table and as lines to print."""

import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from ripenroom.cli.reader import CommandReader
from ripenroom.exchange.day_sheet_table import COLUMNS, STAYS, day_sheet_table, printed
from ripenroom.records.batch import Batch
from ripenroom.records.market import ExpectedPick, Pin
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import (
    Carrying,
    Clearing,
    Plan,
    PlannedItinerary,
    PlannedMove,
    Staying,
    StayReason,
)
from ripenroom.season.season import Season
from tests.season.writing import write


@pytest.fixture
def practice(written_practice: Path, tmp_path: Path) -> Iterator[Season]:
    path = Path(shutil.copyfile(written_practice, tmp_path / "practice.ripenroom"))
    season = Season.open(path)
    yield season
    season.close()


class Made:
    """Lines of the practice season's batches, made by hand: three in three places."""

    def __init__(self, season: Season) -> None:
        self.now = season.now()
        self.at = self.now.replace(hour=18, minute=0, second=0, microsecond=0)
        self.day = min(
            (day for day in season.book.market_days.values() if day.starts_at > self.now),
            key=lambda day: day.starts_at,
        )
        found: dict[str, Batch] = {}
        projection = season.projection()
        there = {key for key, n in projection.line_of.items() if projection.left[n] > 1.0}
        for batch in season.book.batches.values():
            place = season.place_of(batch.id)
            if place is not None and batch.id in there:
                found.setdefault(place.id, batch)
        self.places = [season.book.places[key] for key in list(found)[:3]]
        self.batches = [found[place.id] for place in self.places]

    def line(self, number: int) -> PlannedItinerary:
        """One crate that waits for the next market day, most of it ready then."""
        here = self.places[number].id
        return PlannedItinerary(
            self.batches[number].id, 1, here, None, here, self.day.id, 0.784, 900.0, 20.0
        )

    def left(self, number: int) -> PlannedItinerary:
        """One crate that goes nowhere."""
        return replace(self.line(number), market_day_id=None, expected_ready_share=0.0)

    def moved(self, number: int, to: int, at: datetime | None = None) -> PlannedItinerary:
        """One crate that is moved, this evening if not said otherwise."""
        step = PlannedMove(at or self.at, self.places[to].id)
        place_id = step.place_id
        return replace(self.line(number), steps=(step,), pull_at=step.at, to_place_id=place_id)


@pytest.fixture
def made(practice: Season) -> Made:
    return Made(practice)


def carry(*lines: PlannedItinerary, room: bool = True) -> DayTask:
    return DayTask(DayTaskKind.MOVE, lines[0].batch_id, lines, Carrying(lines, room))


@dataclass(frozen=True)
class InHand:
    """A plan of which only this is asked."""

    if_left: Mapping[PlannedItinerary, Delay]
    plan: Plan | None = None


def reading(season: Season, left: Mapping[PlannedItinerary, Delay]) -> CommandReader:
    return CommandReader(season, InHand(left))


def said(season: Season, *tasks: DayTask, stays: tuple[Staying, ...] = ()) -> list[str]:
    lines = [line.strip() for line in printed(CommandReader(season), DaySheet(tasks, stays))]
    assert all("{" not in line and "None" not in line and ".." not in line for line in lines)
    return lines


def test_a_move_says_from_where_to_where_and_why(practice: Season, made: Made) -> None:
    line = made.moved(0, 1)
    code, (here, there, *_) = made.batches[0].code, [place.name for place in made.places]
    sheet = DaySheet((carry(line),))
    told = "\n".join(printed(reading(practice, {line: Delay(0.41, 0.2)}), sheet))
    assert f"  To {there}: 1 crate, by 18:00\n" in told
    assert f": 1 crate of {code} from {here}. For " in told
    assert told.endswith(": 78 % good to sell, if left here 20 %.")
    as_good = "\n".join(printed(reading(practice, {line: Delay(0.784, 0.784)}), sheet))
    assert as_good.endswith("as good here, but the room is needed.")
    further = replace(line, steps=(*line.steps, PlannedMove(made.at, made.places[2].id)))
    assert said(practice, carry(further))[2].endswith(f"then to {made.places[2].name} today.")
    assert "No room for it (" in said(practice, carry(line, room=False))[2]


def test_swaps_name_both_rooms(practice: Season, made: Made) -> None:
    codes = [batch.code for batch in made.batches]
    names = [place.name for place in made.places]
    heading, two = said(practice, carry(made.moved(0, 1), made.moved(1, 0)))[1:]
    assert heading == "Swap"
    assert "Swap 20 " in two
    assert f": 1 crate of {codes[0]} and 20 " in two
    assert f"between {names[0]} and {names[1]}. By 18:00; both rooms are full" in two
    three = said(practice, carry(made.moved(0, 1), made.moved(1, 2), made.moved(2, 0)))[2]
    assert f": 1 crate of {codes[0]} from {names[0]} to {names[1]}, " in three


def test_clearing_says_why_just_these(practice: Season, made: Made) -> None:
    line = made.left(0)

    def told(since: datetime | None) -> str:
        task = DayTask(
            DayTaskKind.CLEAR, line.batch_id, (line,), clearing=Clearing((line,), 1, since)
        )
        title, text = said(practice, task)
        assert title == "Clear these first:"
        assert f": 1 crate of {made.batches[0].code} from {made.places[0].name}. " in text
        return text

    assert "Past since Tue 29 Sep, and its room is needed" in told(made.now - timedelta(days=2))
    assert "Past by this evening, and" in told(made.now + timedelta(hours=3))
    assert "No room left anywhere, and no market day takes it before it is too soft" in told(None)
    past = DayTask(
        DayTaskKind.PAST,
        line.batch_id,
        (line,),
        clearing=Clearing((line,), 1, made.now - timedelta(days=2)),
    )
    title, text = said(practice, past)
    assert title == "Past, to clear when you like:"
    assert "Past since Tue 29 Sep: use it up or clear it" in text
    assert "room is needed" not in text


def test_the_other_tasks(practice: Season, made: Made) -> None:
    line, batch = made.line(0), made.batches[0]
    pick = ExpectedPick(
        id="pick", crop="pawpaw", on=made.now.date(), count=40, place_id=made.places[0].id
    )
    practice.do(actions.ahead.save_expected_pick, pick)
    check = CheckNext(batch.id, 8, 100.0, CheckReason.WHEN, None, None)
    second = replace(made.left(0), second_grade=True, pull_at=made.at, to_place_id=None)
    told = said(
        practice,
        DayTask(DayTaskKind.SETTLE, made.day.id),
        carry(second),
        DayTask(DayTaskKind.CHECK, batch.id, check=check),
        DayTask(DayTaskKind.PACK, batch.id, (line,)),
        DayTask(DayTaskKind.EXPECT, "pick"),
    )
    until = " Until then what you packed for it counts as away."
    assert told[1].endswith(f" has begun: when it is over, enter what was sold.{until}")
    assert told[3] == "To second grade: 1 crate, by 18:00"
    assert told[4].endswith(f"of {batch.code} from {made.places[0].name}. For no market day.")
    assert told[5:7][0] == "Squeeze:"
    assert told[6].startswith("[ ] 8 ")
    where = f": {batch.code}, {made.places[0].name}. "
    assert told[6].endswith(f"{where}Shows when to move them; worth about €1.")
    pace = DayTask(DayTaskKind.CHECK, batch.id, check=replace(check, reason=CheckReason.PACE))
    assert "Shows how fast this cultivar softens; worth" in said(practice, pace)[-1]
    assert told[8].startswith(f"For {made.day.name}, ")
    assert told[9].endswith(f"of {batch.code} from {made.places[0].name}. 78 % good to sell.")
    assert told[11].startswith("[ ] About 40 pawpaws to pick. Room is kept: ")


def test_a_market_day_that_is_over(practice: Season, made: Made) -> None:
    practice.read_as_on(made.day.starts_at + timedelta(days=1))
    told = said(practice, DayTask(DayTaskKind.SETTLE, made.day.id))
    assert " is over: enter what was sold. " in told[1]


def test_what_is_done(practice: Season, made: Made) -> None:
    at = made.now.astimezone(UTC)
    removal = practice.do(actions.carrying.clear, Clearing((made.left(0),), 1, None), at)
    batch = made.batches[0]
    pin = Pin(id="x", batch_id=batch.id, crates=1, market_day_id=made.day.id, packed_at=at)
    write(practice, Action("pin", (pin,)))
    done = [
        DayTask(kind, batch.id, done_at=at, done_record_id="x")
        for kind in (DayTaskKind.CHECK, DayTaskKind.PACK, DayTaskKind.EXPECT)
    ]
    cleared = DayTask(DayTaskKind.CLEAR, batch.id, done_at=at, done_record_id=removal)
    told = said(practice, cleared, *done)
    assert re.match(r"\[x\] \d+ \w+(, [\w ]+)?: ", told[1])
    assert told[1].endswith(f": {batch.code} cleared. Done at 07:30.")
    assert [line[:3] for line in told if line.startswith("[")] == ["[x]"] * 4
    ended_so = f": {batch.code} packed for {made.day.name}, Sat 3 Oct. Done at 07:30."
    assert any(line.endswith(ended_so) for line in told)


@pytest.mark.parametrize(
    ("reason", "told"),
    [
        (StayReason.MARKET, "For Quayside market, Sat 3 Oct: 78 % good to sell"),
        (StayReason.MOVES_LATER, "To "),
        (StayReason.SECOND_GRADE, "To second grade Sun 4 Oct"),
        (StayReason.KEPT, "Keeps for a later market day that you have not entered yet."),
        (StayReason.HOPELESS, "Will never ripen: clear it when you like"),
        (StayReason.MAY_NOT_RIPEN, "May not ripen: squeeze it again Sun 4 Oct."),
        (StayReason.PAST, "Past since Sun 4 Oct: use it up"),
        (StayReason.NO_MARKET, "No market day ahead wants it; overripe from Sun 4 Oct."),
        (StayReason.NOT_READY, "Not ready by Quayside market, Sat 3 Oct, the last market day "),
        (StayReason.TOO_LATE, "Overripe from Sun 4 Oct, before the next market day."),
        (StayReason.NO_BUYER, "For no market day; overripe from Sun 4 Oct."),
    ],
)
def test_why_crates_stay(practice: Season, made: Made, reason: StayReason, told: str) -> None:
    until = made.now + timedelta(days=3)
    line = made.moved(0, 1, until) if reason is StayReason.MOVES_LATER else made.line(0)
    by = made.day.id if reason is StayReason.NOT_READY else None
    stays = (Staying(line, 2, reason, until, by),)
    nothing, title, place, text = said(practice, stays=stays)
    assert (nothing, title) == ("Nothing to do today.", "What stays, and why:")
    assert place == f"{made.places[0].name}:"
    assert f": 2 crates of {made.batches[0].code}. {told}" in text


def test_the_table_has_a_row_for_each_move_and_all_that_stays(practice: Season, made: Made) -> None:
    cleared = made.left(2)
    sheet = DaySheet(
        (
            DayTask(
                DayTaskKind.CLEAR,
                cleared.batch_id,
                (cleared,),
                clearing=Clearing((cleared,), 1, None),
            ),
            carry(made.moved(0, 1), made.moved(1, 0)),
            carry(made.moved(2, 0)),
            DayTask(DayTaskKind.SETTLE, made.day.id),
            DayTask(DayTaskKind.CHECK, made.batches[0].id, done_at=made.now, done_record_id="x"),
        ),
        (Staying(made.line(2), 4, StayReason.MARKET, made.day.starts_at),),
    )
    table = day_sheet_table(CommandReader(practice), sheet)
    assert tuple(table.columns) == COLUMNS
    tasks = ["clear", "move", "move", "move", "settle", "check", STAYS]
    assert table["task"].tolist() == tasks
    assert table["step"].tolist() == ["", 1, 1, 2, "", "", ""]
    codes = [batch.code for batch in made.batches]
    assert table["batch"].tolist() == [
        codes[2],
        codes[0],
        codes[1],
        codes[2],
        "",
        codes[0],
        codes[2],
    ]
    assert table["crates"].tolist()[-1] == 4
    assert table["crop"].tolist() == [
        made.batches[2].crop,
        made.batches[0].crop,
        made.batches[1].crop,
        made.batches[2].crop,
        "",
        made.batches[0].crop,
        made.batches[2].crop,
    ]
    last = made.line(2)
    assert table["fruit"].tolist()[-1] == round(last.fruit * 4 / last.crates)
    assert table["to_place"].tolist()[1] == made.places[1].name
    assert table["by"].tolist()[1] == made.at.isoformat(timespec="minutes")
    assert table["expected_ready_share"].tolist()[-1] == "0.784"
    assert table["done"].tolist()[5] == made.now.isoformat(timespec="minutes")
