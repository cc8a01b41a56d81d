"""Copies put aside by a sync program are noticed; other files are not."""

from pathlib import Path

from ripenroom.window.copies.keeper import put_aside


def test_only_copies_put_aside_are_found(tmp_path: Path) -> None:
    season = tmp_path / "lower field.ripenroom"
    aside = [
        tmp_path / "lower field (Ana's conflicted copy 2026-09-14).ripenroom",
        tmp_path / "lower field.sync-conflict-20260914-101500-ABCDEF.ripenroom",
    ]
    others = ["lower field copy.ripenroom", "upper conflict.ripenroom", "lower field conflict.txt"]
    for path in (season, *aside, *(tmp_path / name for name in others)):
        path.write_text("")
    assert put_aside(season) == sorted(aside)
    assert put_aside(tmp_path / "gone" / "season.ripenroom") == []
