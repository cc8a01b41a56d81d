"""Every test runs without a screen, unless the caller chose a platform."""

import os

# Qt ends the process when it finds no screen, so this must stand before anything imports PySide6.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
