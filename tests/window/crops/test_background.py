"""The sources of a crop."""

from pytestqt.qtbot import QtBot

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.window.crops.view import BackgroundView


def test_every_source_is_there_and_memory_is_marked(qtbot: QtBot) -> None:
    view = BackgroundView()
    qtbot.addWidget(view)
    crop = shipped_profiles()["avocado"]
    view.show_crop(crop)
    told = view.accessibleDescription()
    for source in crop.sources.values():
        mark = "" if source.seen else " (from memory)"
        assert f"• {source.citation}{mark}" in told.splitlines()
