"""Commands tell what the window tells: with what was learned from checks."""

from pathlib import Path

import pandas as pd

from ripenroom.cli import main
from ripenroom.exchange.farm_tables import eat_by_table
from ripenroom.season.season import Season


def test_dates_of_a_command_count_on_checks(tmp_path: Path) -> None:
    path = tmp_path / "demo.ripenroom"
    main(["demo", str(path)])
    season = Season.open(path, read_only=True)
    by_the_book = eat_by_table(season)
    season.learn()
    learned = eat_by_table(season)
    season.close()
    assert not learned["opens"].equals(by_the_book["opens"])
    main(["windows", str(path), "--csv", str(tmp_path / "windows.csv")])
    main(["export", str(path), str(tmp_path / "tables")])
    for written in ("windows.csv", "tables/eat-by windows.csv"):
        table = pd.read_csv(tmp_path / written, dtype=str, keep_default_na=False)
        assert table["opens"].tolist() == learned["opens"].tolist()
