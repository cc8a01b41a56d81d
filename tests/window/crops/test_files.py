"""Profiles from files and to files."""

from pathlib import Path

import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.window.crops.page import export_crop, import_crop
from ripenroom.window.session import Session
from tests.records.crop.conftest import QUINCE


def test_what_was_exported_can_be_imported(session: Session, tmp_path: Path) -> None:
    season = session.season
    written = export_crop(season, "pawpaw", tmp_path / "mine")
    assert written == tmp_path / "mine.toml"
    written.write_text(written.read_text("utf-8").replace('"Pawpaw"', '"Papaw"'), "utf-8")
    assert import_crop(season, written).name == "Papaw"
    assert season.crops["pawpaw"].name == "Papaw"
    assert list(tmp_path.glob("*.unfinished")) == []


def test_a_bad_file_is_refused_with_file_key_and_reason(session: Session, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(QUINCE.read_text("utf-8").replace("probe_mm = 8", "probe_mm = 800"), "utf-8")
    with pytest.raises(Refusal) as refused:
        import_crop(session.season, path)
    for part in (str(path), "firmness.probe_mm", "from 1 to 50"):
        assert part in refused.value.message
    assert session.season.own_crop_keys == frozenset()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"not = [toml", b"x" * 1_100_000])
def test_no_profile_at_all_is_refused_by_its_file(
    session: Session, tmp_path: Path, content: bytes
) -> None:
    path = tmp_path / "photo.toml"
    path.write_bytes(content)
    with pytest.raises(Refusal, match=r"photo\.toml"):
        import_crop(session.season, path)


def test_a_letter_that_is_taken_is_refused_by_its_file(session: Session, tmp_path: Path) -> None:
    path = tmp_path / "other.toml"
    text = session.season.crop_text("pawpaw").replace('key = "pawpaw"', 'key = "other"')
    path.write_text(text, "utf-8")
    with pytest.raises(Refusal) as refused:
        import_crop(session.season, path)
    assert str(path) in refused.value.message
    assert "taken by Pawpaw" in refused.value.message


def test_a_missing_file_and_a_missing_folder_are_refused(session: Session, tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="No such file"):
        import_crop(session.season, tmp_path / "none.toml")
    with pytest.raises(Refusal, match="No such file"):
        export_crop(session.season, "pawpaw", tmp_path / "none" / "mine.toml")
