"""Points files: those that ship are sound, and a wrong line is named."""

from pathlib import Path

import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.fits.points import COLUMNS, Point, PointError, point_files, read_points
from tests.fits.subjects import span
from tests.outside.statements import Role

HEAD = ",".join(COLUMNS)


@pytest.mark.parametrize("crop", point_files())
def test_every_shipped_point_is_of_a_shipped_crop_and_understood(crop: str) -> None:
    points = read_points(point_files()[crop])
    assert points
    for point in points:
        assert span(point.quantity, shipped_profiles()[crop]) > 0.0
        assert point.source


def test_units_come_out_as_days(tmp_path: Path) -> None:
    path = tmp_path / "medlar.csv"
    rows = ["days to ripe,20,12,h,a,FIT", "storage life,0,2,weeks,b,CHECK"]
    path.write_text("\n".join([HEAD, *rows]), "utf-8")
    assert read_points(path) == (
        Point("days to ripe", 20.0, 0.5, "a", Role.FIT),
        Point("storage life", 0.0, 14.0, "b", Role.CHECK),
    )


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("days to ripe,20,5,months,a,FIT", "'months'"),
        ("days to ripe,20,5,days,a,USED", "'USED'"),
        ("days to ripe,warm,5,days,a,FIT", "'warm'"),
        ("days to ripe,20,-5,days,a,FIT", "cannot be"),
        ("days to ripe,68,5,days,a,FIT", "cannot be"),
        ("days to ripe,20", "None"),
    ],
)
def test_a_wrong_line_is_named(tmp_path: Path, line: str, said: str) -> None:
    path = tmp_path / "medlar.csv"
    path.write_text(f"{HEAD}\n{line}\n", "utf-8")
    with pytest.raises(PointError, match=r"medlar\.csv, line 2") as caught:
        read_points(path)
    assert said in str(caught.value)


def test_other_columns_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "medlar.csv"
    path.write_text("what,celsius\n", "utf-8")
    with pytest.raises(PointError, match="the first line needs to be quantity,"):
        read_points(path)
