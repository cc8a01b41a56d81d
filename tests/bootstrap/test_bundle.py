"""What a bundle does without: by its name, or since nothing that is left asks for it."""

import pytest

from ripenroom.bootstrap.bundle import Entry, is_left_out, trimmed

QT = "PySide6/Qt"


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        (f"{QT}/plugins/platforms/libqxcb.so", False),
        (f"{QT}/plugins/platforms/libqvnc.so", True),
        (f"{QT}/plugins/tls/libqopensslbackend.so", True),
        ("PySide6\\plugins\\platforms\\qwindows.dll", False),
        ("PySide6\\plugins\\platforms\\qdirect2d.dll", True),
        (f"{QT}/plugins/platforms/libqcocoa.dylib", False),
        (f"{QT}/translations/qtbase_de.qm", False),
        (f"{QT}/translations/qt_help_de.qm", True),
        ("PySide6/QtWidgets.pyi", True),
        ("libcups.so.2", True),
        ("ripenroom/resources/crops/pawpaw.toml", False),
    ],
)
def test_names_say_what_is_left_out(place: str, expected: bool) -> None:
    assert is_left_out(place) is expected


def test_a_library_goes_with_the_last_that_asks_for_it() -> None:
    vnc = (f"{QT}/plugins/platforms/libqvnc.so", "/src/libqvnc.so", "BINARY")
    kept: list[Entry] = [
        (f"{QT}/plugins/platforms/libqxcb.so", "/src/libqxcb.so", "BINARY"),
        ("numpy/core.so", "/src/core.so", "EXTENSION"),
        ("libpython3.11.so.1.0", "/src/libpython3.11.so.1.0", "BINARY"),
        (f"{QT}/lib/libQt6Gui.so.6", "/src/libQt6Gui.so.6", "BINARY"),
        ("libz.so.1", "/src/libz.so.1", "BINARY"),
        # two packages bring a library of one name, and either may be the one that is meant
        ("numpy.libs/libfortran.so", "/src/1/libfortran.so", "BINARY"),
        ("scipy.libs/libfortran.so", "/src/2/libfortran.so", "BINARY"),
        ("libQt6Gui.so.6", f"{QT}/lib/libQt6Gui.so.6", "SYMLINK"),
        ("inner/libz.so", "../libz.so.1", "SYMLINK"),
        ("ripenroom/resources/crops/plum.toml", "/src/plum.toml", "DATA"),
    ]
    lost: list[Entry] = [
        vnc,
        (f"{QT}/lib/libQt6Network.so.6", "/src/libQt6Network.so.6", "BINARY"),
        ("libQt6Network.so.6", f"{QT}/lib/libQt6Network.so.6", "SYMLINK"),
    ]
    asks = {
        "/src/libqvnc.so": ["libQt6Network.so.6", "libQt6Gui.so.6"],
        "/src/libqxcb.so": ["libQt6Gui.so.6", "libc.so.6"],
        "/src/libQt6Gui.so.6": ["libz.so.1", "libQt6Gui.so.6"],
        "/src/core.so": ["libfortran.so"],
    }
    assert trimmed([*lost, *kept], lambda file: asks.get(file, [])) == kept
