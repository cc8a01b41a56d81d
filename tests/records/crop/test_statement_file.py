"""Files of published statements: what each cell may say, and why a line is refused."""

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.statement import Asks, Start, Statement, Waits
from ripenroom.records.crop.statement_file import read_statements, shipped_statements
from ripenroom.records.crop.statement_rows import COLUMNS, StatementError
from ripenroom.records.crop.toml_profile import load_profile_text
from ripenroom.units import newtons
from tests.records.crop.made import COLOURED, HELD, WINTER

WINTER_PEAR, LANTERN, KEEPER = (
    load_profile_text(text, Path("made")) for text in (WINTER, COLOURED, HELD)
)
DOCUMENT = {"winter": WINTER, "lantern": COLOURED, "keeper": HELD}
SOUND = {
    "asks": "days to ready",
    "start": "picked",
    "stays": "20",
    "ethylene_h": "",
    "low": "4",
    "high": "6",
    "unit": "days",
    "kind": "trial",
    "source": "made",
    "group": "",
    "note": "",
}


def written(path: Path, *lines: Mapping[str, str]) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = csv.DictWriter(file, COLUMNS)
        rows.writeheader()
        rows.writerows(SOUND | dict(line) for line in lines)
    return path


def read(tmp_path: Path, profile: CropProfile = WINTER_PEAR, **cells: str) -> Statement:
    """The one statement of a file in which a sound line has some other cells."""
    (found,) = read_file(written(tmp_path / "pear.csv", cells), profile)
    return found


def read_file(path: Path, profile: CropProfile = WINTER_PEAR) -> tuple[Statement, ...]:
    return read_statements(path, profile, CropDocument(DOCUMENT[profile.key]))


def refusal(tmp_path: Path, cells: Mapping[str, str], profile: CropProfile = WINTER_PEAR) -> str:
    """Why such a line is refused; a sound one stands before it."""
    path = written(tmp_path / "pear.csv", {}, cells)
    with pytest.raises(StatementError) as caught:
        read_file(path, profile)
    where, reason = str(caught.value).split(": ", 1)
    assert where == "pear.csv, line 3"
    return reason


def test_a_sound_line_is_read_as_it_stands(tmp_path: Path) -> None:
    found = read(tmp_path, stays="-1 for 28; 18 to 24", ethylene_h="24", group="Late", note="A, b")
    assert found == Statement(
        asks=Asks.READY,
        low=4.0,
        high=6.0,
        rounding=0.5,
        kind="trial",
        source="made",
        start=Start(),
        stays=(Waits(-1.0, 0.0, 28.0), Waits(21.0, 3.0, None)),
        ethylene_h=24.0,
        group="Late",
        note="A, b",
        words="days to ready, from picked, at -1 for 28; 18 to 24 °C, after 24 h of ethylene",
    )


@pytest.mark.parametrize(
    ("asks", "unit", "stays", "kind", "low"),
    [
        ("days to ready", "days", "20", Asks.READY, 4.0),
        ("days kept", "weeks", "0", Asks.KEPT, 28.0),
        ("days until able", "months", "0", Asks.ABLE, 4 * 30.4),
        ("days to injury", "h", "4", Asks.INJURY, 4.0 / 24.0),
        ("% ready", "%", "20 for 3", Asks.READY_PCT, 4.0),
        ("% won't ripen", "%", "20", Asks.WONT_RIPEN, 4.0),
        ("firmness", "lbf", "20 for 3", Asks.FIRMNESS, newtons(4.0, "lbf")),
        ("firmness", "% of start", "0 for 9", Asks.FIRMNESS_LEFT, 4.0),
    ],
)
def test_what_is_asked_is_kept_in_days_newtons_and_percent(
    tmp_path: Path, asks: str, unit: str, stays: str, kind: Asks, low: float
) -> None:
    found = read(tmp_path, asks=asks, unit=unit, stays=stays)
    assert found.asks is kind
    assert found.low == pytest.approx(low)


def test_a_mark_is_kept_in_newtons_or_in_percent_of_green(tmp_path: Path) -> None:
    found = read(tmp_path, asks="days to 3 lbf", unit="weeks")
    assert (found.asks, found.low) == (Asks.MARK, 28.0)
    assert found.mark_n == pytest.approx(newtons(3.0, "lbf"))
    assert read(tmp_path, LANTERN, asks="days to 5 % green").mark_n == 5.0
    assert read(tmp_path, LANTERN, asks="firmness", unit="% green", stays="20 for 1").low == 4.0


def test_times_are_of_another_temperature(tmp_path: Path) -> None:
    found = read(tmp_path, asks="days kept, times that at -1.5", unit="times", low="1.33", high="")
    assert (found.asks, found.times_at_c) == (Asks.KEPT, -1.5)
    assert (found.low, found.high) == (1.33, None)
    assert found.rounding == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("asks", "unit", "path", "low"),
    [
        ("figure ripe_life.q10", "per 10 C", ("ripe_life", "q10"), 4.0),
        ("figure gate.ethylene_days", "h", ("gate", "ethylene_days"), 4.0 / 24.0),
        ("figure firmness.ready", "kgf", ("firmness", "ready"), newtons(4.0, "kgf")),
        ("figure gate.needs[1].days", "days", ("gate", "needs", 1, "days"), 4.0),
    ],
)
def test_a_figure_is_named_by_its_keys_and_has_no_stays(
    tmp_path: Path, asks: str, unit: str, path: tuple[str | int, ...], low: float
) -> None:
    found = read(tmp_path, asks=asks, unit=unit, stays="", start="")
    assert (found.asks, found.figure, found.stays) == (Asks.FIGURE, path, ())
    assert found.low == pytest.approx(low)


@pytest.mark.parametrize(
    ("asks", "unit", "profile", "reason"),
    [
        ("figure chilling.threshold", "C", WINTER_PEAR, "winter has no figure chilling.threshold"),
        ("figure gate.needs[2].days", "days", WINTER_PEAR, "winter has no figure gate.needs[2]"),
        ("figure gate", "days", WINTER_PEAR, "winter has no figure gate"),
        ("figure gate.name", "days", WINTER_PEAR, "winter has no figure gate.name"),
        ("figure sources.made", "days", WINTER_PEAR, "winter has no figure sources.made"),
        ("figure firmness.probe_mm", "N", WINTER_PEAR, "winter has no figure firmness.probe_mm"),
        ("figure ripe_life.days", "lbf", WINTER_PEAR, "is told in days, weeks, months, h, not"),
        ("figure ripe_life.days", "C", WINTER_PEAR, "is told in days, weeks, months, h, not 'C'"),
        ("figure firmness.ready", "days", WINTER_PEAR, "is told in N, kgf, lbf, not 'days'"),
        ("figure firmness.ready", "N", LANTERN, "is told in % green, not 'N'"),
        ("figure storage.humidity", "C", WINTER_PEAR, "is told in %, not 'C'"),
        ("figure ripening.limit_c", "days", WINTER_PEAR, "is told in C, not 'days'"),
        ("figure ripe_life.q10", "times", WINTER_PEAR, "is told in per 10 C, not 'times'"),
    ],
)
def test_a_figure_that_the_profile_has_not_or_in_another_unit_is_refused(
    tmp_path: Path, asks: str, unit: str, profile: CropProfile, reason: str
) -> None:
    assert reason in refusal(tmp_path, {"asks": asks, "unit": unit, "stays": ""}, profile)


def test_a_figure_without_a_range_is_told_in_what_its_key_says(tmp_path: Path) -> None:
    found = read(tmp_path, asks="figure ripening.limit_c", unit="C", stays="", start="")
    assert found.figure == ("ripening", "limit_c")


def test_no_fruit_becomes_able_that_waits_for_nothing(tmp_path: Path) -> None:
    assert read(tmp_path, asks="days until able").asks is Asks.ABLE
    for profile in (LANTERN, KEEPER):
        reason = refusal(tmp_path, {"asks": "days until able"}, profile)
        assert reason == f"{profile.key} waits for nothing before it ripens: say 'days to ready'"


@pytest.mark.parametrize("group", ["", "green", "green: Lula", "late"])
def test_a_group_may_wait_where_its_crop_does_not(tmp_path: Path, group: str) -> None:
    gate = WINTER[WINTER.index("[gate]") : WINTER.index("[fruit]")]
    own = gate.replace("[gate", "[group.green.gate")
    text = WINTER.replace(gate, "").replace("groups = []", 'groups = ["green", "late"]') + own
    profile, document = load_profile_text(text, Path("made")), CropDocument(text)
    cells = {"asks": "days until able", "group": group}
    path = written(tmp_path / "pear.csv", cells)
    if group.startswith("green"):
        (found,) = read_statements(path, profile, document)
        assert found.group == group
    else:
        with pytest.raises(StatementError, match="winter waits for nothing"):
            read_statements(path, profile, document)


def test_a_temperature_may_lie_below_zero(tmp_path: Path) -> None:
    found = read(
        tmp_path, asks="figure ripening.limit_c", unit="C", stays="", low="-2.5", high="-1.5"
    )
    assert (found.low, found.high) == (-2.5, -1.5)


@pytest.mark.parametrize(
    ("start", "read_as"),
    [
        ("picked", Start()),
        ("", Start()),
        ("ready", Start(ready=True)),
        ("hard", Start(feel=0)),
        ("gives", Start(feel=2)),
        ("62 N", Start(at_n=62.0)),
        ("2kgf", Start(at_n=newtons(2.0, "kgf"))),
    ],
)
def test_fruit_starts_as_picked_ready_of_a_feel_or_at_a_mark(
    tmp_path: Path, start: str, read_as: Start
) -> None:
    assert read(tmp_path, start=start).start == read_as


def test_looks_are_called_as_the_crop_calls_them(tmp_path: Path) -> None:
    assert read(tmp_path, LANTERN, start="turning").start == Start(feel=1)
    assert read(tmp_path, LANTERN, start="60 % green").start == Start(at_n=60.0)
    assert "no fruit starts 'gives'" in refusal(tmp_path, {"start": "gives"}, LANTERN)


@pytest.mark.parametrize(
    ("stays", "read_as"),
    [
        ("room", (Waits(21.0, 3.0, None),)),
        ("fridge for 3; room", (Waits(4.0, 2.0, 3.0), Waits(21.0, 3.0, None))),
        ("-1 to 1 for 2.5;20", (Waits(0.0, 1.0, 2.5), Waits(20.0, 0.0, None))),
        ("24 to 18", (Waits(21.0, 3.0, None),)),
        ("-0.5", (Waits(-0.5, 0.0, None),)),
    ],
)
def test_stays_have_a_temperature_its_doubt_and_days(
    tmp_path: Path, stays: str, read_as: tuple[Waits, ...]
) -> None:
    assert read(tmp_path, stays=stays).stays == read_as


@pytest.mark.parametrize(
    ("low", "high", "unit", "rounding"),
    [
        ("4", "6", "days", 0.5),
        ("4", "6", "weeks", 1.0),
        ("3", "4", "months", 4.0),
        ("2.5", "4", "days", 0.05),
        ("2", "4.25", "days", 0.005),
        ("", "4", "days", 0.5),
        ("12", "", "h", 0.5 / 24.0),
    ],
)
def test_half_of_the_step_in_which_it_was_printed_is_kept_but_no_week(
    tmp_path: Path, low: str, high: str, unit: str, rounding: float
) -> None:
    found = read(tmp_path, low=low, high=high, unit=unit)
    assert found.rounding == pytest.approx(rounding)
    assert (found.low is None, found.high is None) == (not low, not high)


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"asks": "days to glory"}, "nothing is known that asks for 'days to glory'"),
        ({"asks": ""}, "nothing is known that asks for ''"),
        ({"asks": "days to 3 % green"}, "winter is not judged by % green"),
        ({"asks": "days kept, times that at 20", "unit": "days"}, "is told in times, not 'days'"),
        ({"asks": "days to ready, times that at 200", "unit": "times"}, "-10 to 60 C"),
        ({"asks": "days to ready, times that at 1.2.3", "unit": "times"}, "nothing is known"),
        ({"asks": "figure ripe_life..q10"}, "is no path to a figure"),
        ({"asks": "figure needs[one]"}, "is no path to a figure"),
        ({"unit": "fortnights"}, "is told in days, weeks, months, h, not 'fortnights'"),
        ({"asks": "firmness", "unit": "% green", "stays": "20 for 1"}, "not '% green'"),
        ({"low": "", "high": ""}, "needs a low or a high end"),
        ({"low": "7"}, "low is above high"),
        ({"low": "-1"}, "low: -1 is not from 0"),
        ({"low": "four"}, "low: 'four' is no number"),
        ({"low": "nan"}, "low: 'nan' is no number"),
        ({"high": "inf"}, "high: 'inf' is no number"),
        ({"high": "1e999"}, "high: '1e999' is no number"),
        ({"high": "1_0"}, "high: '1_0' is no number"),
        ({"high": "٩"}, "high: '٩' is no number"),
        ({"high": "9" * 300}, "is not from 0 to 800 days"),
        ({"asks": "% won't ripen", "unit": "%", "high": "101"}, "not from 0 to 100"),
        ({"asks": "figure ripening.limit_c", "unit": "C", "low": "-274"}, "not from -100 to 100"),
        ({"ethylene_h": "nan"}, "ethylene_h: 'nan' is no number"),
        ({"ethylene_h": "-1"}, "ethylene_h: -1 is not from 0 to 240"),
        ({"ethylene_h": "-50", "asks": "figure ripening.limit_c", "unit": "C"}, "ethylene_h: -50"),
        ({"kind": "rumour"}, "kind needs to be trial, handbook, extension, trade, hearsay"),
        ({"source": "nobody"}, "'nobody' is not among the sources of winter"),
        ({"start": "ripe"}, "no fruit starts 'ripe'"),
        ({"start": "60 % green"}, "winter is not judged by % green"),
        ({"stays": ""}, "is no stay"),
        ({"stays": "20; 4"}, "every stay but the last needs its days"),
        ({"stays": "cold"}, "'cold' is no stay"),
        ({"stays": "nan"}, "'nan' is no stay"),
        ({"stays": "1.2.3"}, "'1.2.3' is no stay"),
        ({"stays": "--4"}, "'--4' is no stay"),
        ({"stays": "80"}, "fruit is kept at -10 to 60 C"),
        ({"stays": "-40 to 4"}, "fruit is kept at -10 to 60 C"),
        ({"stays": "4 for 99999999999999"}, "stays: 99999999999999 is not from 0 to 800"),
        ({"asks": "firmness", "unit": "N"}, "the last stay needs its days"),
        ({"asks": "firmness", "unit": "% of start"}, "the last stay needs its days"),
        ({"asks": "% ready", "unit": "%"}, "the last stay needs its days"),
        ({"note": "x" * 401}, "note is longer than 400 letters"),
        ({"note": "cold\x00 store"}, "note: holds a character that cannot be seen (U+0000)"),
        ({"note": "\x1b[31mcold"}, "(U+001B) as its letter 1; take it out"),
        ({"note": "cold\u202estore"}, "(U+202E) as its letter 5; take it out"),
        ({"group": "Late\x85"}, "group: holds a character that cannot be seen (U+0085)"),
        ({"start": "picked\t"}, "start: holds a character that cannot be seen (U+0009)"),
        ({"note": "two\nlines"}, "note: holds a line break; write it in one line"),
        ({"high": "9999", "unit": "months"}, "high: 9999 is not from 0 to 26.32 months"),
        ({"low": "801", "high": ""}, "low: 801 is not from 0 to 800 days"),
        ({"asks": "days to 0 N"}, "0 N: firmness is from 0.01 to 1000 N"),
        ({"asks": "days to 99999 N"}, "99999 N: firmness is from 0.01 to 1000 N"),
        ({"asks": "days to 300 lbf"}, "300 lbf: firmness is from 0.01 to 1000 N"),
        ({"start": "0 N"}, "0 N: firmness is from 0.01 to 1000 N"),
        (
            {"asks": "firmness", "unit": "N", "stays": "20 for 1", "high": "1001"},
            "high: 1001 is not from 0 to 1000 N",
        ),
        (
            {"asks": "days kept, times that at 4", "unit": "times", "high": "101"},
            "high: 101 is not from 0 to 100 times",
        ),
        ({"asks": "days to " + "9" * 5000}, "asks is longer than 400 letters"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_line_is_told_by_file_line_and_reason(
    tmp_path: Path, cells: Mapping[str, str], reason: str
) -> None:
    assert reason in refusal(tmp_path, cells)


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"asks": "firmness", "unit": "N", "stays": "20 for 1"}, "no firmness is known of keeper"),
        ({"asks": "days to 3 lbf"}, "keeper is not judged by lbf"),
        ({"start": "gives"}, "keeper is not judged by feel"),
        ({"start": "12 lbf"}, "keeper is not judged by lbf"),
    ],
)
def test_of_a_crop_with_dates_alone_no_firmness_and_no_feel_is_taken(
    tmp_path: Path, cells: Mapping[str, str], reason: str
) -> None:
    assert reason in refusal(tmp_path, cells, KEEPER)
    assert read(tmp_path, KEEPER, start="ready").start.ready


def test_every_shipped_crop_has_statements_and_no_other_has() -> None:
    assert all(shipped_statements(key) for key in shipped_profiles())
    assert shipped_statements("winter") == shipped_statements("../crops/pawpaw") == ()


def test_words_read_as_numbers_are_marked_in_the_letters_that_their_weight_goes_by() -> None:
    notes = [one.note for key in shipped_profiles() for one in shipped_statements(key)]
    assert any(note.startswith("read as") for note in notes)
    assert not [note for note in notes if note.startswith("Read as")]
