"""Whether there is a screen to open a window on."""

import os
import sys


def why_no_window() -> str | None:
    """Why no window can be opened, in words; None if one can.

    Qt ends the whole process where it finds no display, so it is asked first.
    """
    if not sys.platform.startswith("linux"):
        return None
    if any(os.environ.get(name) for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")):
        return None
    return (
        "There is no screen here to open a window on. "
        "The commands demo, windows, today, plan, checks, pack, setpoints, rooms, export, "
        "add-pick, import, log, merge, rescue and verify need none (see: ripenroom --help)."
    )
