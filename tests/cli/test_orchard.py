"""``rows``, ``walk`` and ``weather``: what is on the trees, and how warm it was."""

import shutil
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pandas as pd
import pytest

from ripenroom.cli import main
from ripenroom.records.file import SeasonFile
from ripenroom.season.season import Season
from tests.season.farm import season_record


@pytest.fixture
def season_path(written_practice: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(written_practice, tmp_path / "season.ripenroom"))


def row_name(path: Path) -> str:
    with closing(Season.open(path, read_only=True)) as season:
        return min(row.name for row in season.book.rows.values())


def test_rows_are_printed_and_written(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rows", str(season_path)]) == 0
    said = capsys.readouterr()
    assert "Wall row" in said.out
    assert "first frost by 24 Oct 2026 in one year of ten, by 9 Nov 2026 in half" in said.err
    target = tmp_path / "rows.csv"
    assert main(["rows", str(season_path), "--csv", str(target), "--by", "2026-10-02"]) == 0
    table = pd.read_csv(target).set_index("row")
    wall = table.loc["Wall row"]
    assert wall["to_pick_low"] < wall["to_pick"] < wall["to_pick_high"]
    assert (wall["by"], wall["clock"]) == ("2026-10-02", "heat")
    assert table["to_pick"].isna()["Pear avenue"]
    later = tmp_path / "later.csv"
    given = ["--at", "2026-10-04", "--by", "2026-10-20"]
    assert main(["rows", str(season_path), "--csv", str(later), *given]) == 0
    assert pd.read_csv(later).set_index("row").loc["Wall row", "to_pick"] > wall["to_pick"]


def test_a_frost_that_came_is_said(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "station.csv"
    file.write_text("date,tmin C,tmax C\n2026-09-29,-1.5,12\n2026-09-30,4,15\n")
    assert main(["weather", str(season_path), str(file)]) == 0
    capsys.readouterr()
    assert main(["rows", str(season_path)]) == 0
    assert "frost came on 29 Sep 2026 (-1.5 °C)" in capsys.readouterr().err
    assert main(["rows", str(season_path), "--at", "2026-11-30"]) == 0
    assert "frost came on 29 Sep 2026" in capsys.readouterr().err


def test_a_season_without_rows_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.ripenroom"
    SeasonFile.create(path, season_record()).close()
    assert main(["rows", str(path)]) == 0
    assert capsys.readouterr().out == "No rows of trees yet.\n"


def test_a_walk_is_saved(season_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    row = row_name(season_path)
    before = _walks(season_path)
    assert main(["walk", str(season_path), row.upper(), "--feel", "21 6 3 0", "--ground", "4"]) == 0
    assert f"Walk of {row} saved: 30 fruit squeezed, 4 on the ground" in capsys.readouterr().out
    assert _walks(season_path) == before + 1


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["nowhere", "--feel", "3 1 0 0"], "There is no “nowhere” here"),
        (["ROW"], "--feel: No fruit counted yet"),
        (["ROW", "--feel", "3 1 0 0", "--ground", "-1"], "--ground: -1 fruit on the ground"),
        (["ROW", "--feel", "3 1 0 0", "--at", "2099-01-01"], "--at: This is still to come"),
    ],
)
def test_a_walk_that_cannot_be_is_refused_in_words(
    season_path: Path, given: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    given = [row_name(season_path) if each == "ROW" else each for each in given]
    assert main(["walk", str(season_path), *given]) == 2
    assert words in capsys.readouterr().err


def test_a_weather_file_is_taken_in_and_said(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(Season.open(season_path, read_only=True)) as season:
        year = season.book.season.first_day.year
    file = tmp_path / "station.csv"
    file.write_text(
        f"date,tmin C,tmax C\n{year}-02-13,4,15\n{year}-02-14,5,16\n{year}-02-17,5,19\n"
        f"{year}-02-25,9,20\n1999-07-01,3,9\n"
    )
    assert main(["weather", str(season_path), str(file)]) == 0
    said = capsys.readouterr()
    assert "2 filled" not in said.out
    assert "6 new" in said.out
    assert "1 too far from the season's first day" in said.out
    assert f"filled in by a straight line: 2 days (15 Feb {year}, 16 Feb {year})" in said.err
    assert f"no weather from 18 Feb {year} to 24 Feb {year}" in said.err
    assert main(["weather", str(season_path), str(file)]) == 0
    assert "6 known already" in capsys.readouterr().out


def test_doubtful_files_ask(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "station.csv"
    file.write_text("date,low,high\n01/02/2026,38,44\n02/03/2026,39,47\n03/04/2026,37,45\n")
    assert main(["weather", str(season_path), str(file)]) == 2
    assert "--dates" in capsys.readouterr().err
    assert main(["weather", str(season_path), str(file), "--dates", "mdy"]) == 2
    assert "--unit" in capsys.readouterr().err
    assert main(["weather", str(season_path), str(file), "--coldest", "low"]) == 2
    assert "both" in capsys.readouterr().err
    given = ["--dates", "mdy", "--unit", "F", "--coldest", "low", "--warmest", "high"]
    assert main(["weather", str(season_path), str(file), *given]) == 0


def test_rows_walks_and_weather_come_in_as_tables(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(Season.open(season_path, read_only=True)) as season:
        year = season.book.season.first_day.year
        on = season.now().date() - timedelta(days=1)
    write = _writer(tmp_path)
    rows = write(
        "rows.csv",
        "row,cultivar,trees,planted,bloom,fruit on branches,branches,fruit weight\n"
        f"Behind the shed,,14,2009,{year}-04-28,3 0 7,12,180\n"
        "Half,,5,,,1.5 2,12,\n",
    )
    assert main(["import", str(season_path), str(rows), "--kind", "rows"]) == 2
    said = capsys.readouterr()
    assert "1 row saved" in said.out
    assert "branch_counts: Fruit on branches are whole numbers." in said.err
    walks = write(
        "walks.csv",
        f"row,date,hard,slight give,ground\nBehind the shed,{on},21,6,2\nNowhere,{on},1,1,0\n",
    )
    assert main(["import", str(season_path), str(walks)]) == 2
    said = capsys.readouterr()
    assert "1 walk saved" in said.out
    assert "row: There is no row “Nowhere”" in said.err
    weather = write("weather.csv", f"date,min,max\n{year}-02-13,4,15\n{year}-02-13,5,15\n")
    assert main(["import", str(season_path), str(weather)]) == 2
    assert "is in the season already" in capsys.readouterr().err
    with closing(Season.open(season_path, read_only=True)) as season:
        row = next(r for r in season.book.rows.values() if r.name == "Behind the shed")
        assert (row.branch_counts, row.planted_year, row.fruit_mass_g) == ((3, 0, 7), 2009, 180.0)
        assert str(row.bloomed_on) == f"{year}-04-28"
        [walk] = [w for w in season.book.walks.values() if w.row_id == row.id]
        assert (walk.feel_counts, walk.on_ground) == ((21, 6, 0, 0, 0), 2)


def test_a_table_of_rows_brings_its_cultivars(
    season_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of a cultivar that is not there the row says the crop; a slip in a name makes none."""
    rows = _writer(tmp_path)(
        "rows.csv",
        "row,crop,variety,trees,bloom\n"
        "North,peach,Red Haven,5,2026-04-10\n"
        "South,Peach,red haven,6,2026-04-11\n"
        "East,dragonfruit,Pink,3,\n"
        "West,,Erly pawpaws,4,\n"
        "East row 1,peach,Late peach,3,\n",
    )
    with closing(Season.open(season_path, read_only=True)) as season:
        before = set(season.book.cultivars)
    assert main(["import", str(season_path), str(rows)]) == 2
    said = capsys.readouterr()
    assert "2 rows saved, 3 rows left out" in said.out
    assert "line 4: crop: There is no crop “dragonfruit” here." in said.err
    assert "line 5: cultivar: There is no cultivar “Erly pawpaws” here" in said.err
    assert "line 6: row: There is a row named “East row 1” already" in said.err
    with closing(Season.open(season_path)) as season:
        book = season.book
        (new,) = (c for key, c in book.cultivars.items() if key not in before)
        assert (new.crop, new.name) == ("peach", "Red Haven")
        of_new = {row.name for row in book.rows.values() if row.cultivar_id == new.id}
        assert of_new == {"North", "South"}
        season.undo()
        assert set(season.book.cultivars) == before


def test_exported_rows_come_into_an_empty_season(season_path: Path, tmp_path: Path) -> None:
    assert main(["export", str(season_path), str(tmp_path / "out")]) == 0
    table = tmp_path / "out" / "rows.csv"
    assert ",2012," in table.read_text("utf-8")
    other = tmp_path / "other.ripenroom"
    with closing(Season.open(season_path, read_only=True)) as season:
        of_farm, known = season.book.rows, season.book.cultivars
        details = replace(season.book.season, id=season_record().id)
    with closing(Season.create(other, details)):
        pass
    assert main(["import", str(other), str(table)]) == 0
    with closing(Season.open(other, read_only=True)) as season:
        book = season.book
        came = {row.name: book.cultivars[row.cultivar_id or ""] for row in book.rows.values()}
        assert {name: (c.crop, c.name) for name, c in came.items()} == {
            row.name: (known[row.cultivar_id or ""].crop, known[row.cultivar_id or ""].name)
            for row in of_farm.values()
        }
        assert len(book.cultivars) == len({row.cultivar_id for row in of_farm.values()})


def _writer(folder: Path) -> Callable[[str, str], Path]:
    def write(name: str, text: str) -> Path:
        (folder / name).write_text(text, "utf-8")
        return folder / name

    return write


def _walks(path: Path) -> int:
    with closing(Season.open(path, read_only=True)) as season:
        return len(season.book.walks)
