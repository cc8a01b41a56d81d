"""Light or dark, high contrast: chooses the palette by the user's and the system's settings.

The platform's own dark mode reaches Qt only on some systems, so the palettes are ours; the
platform is asked merely which of them it would like.
"""

from enum import StrEnum

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontInfo, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from ripenroom.window.palette import DARK, HIGH_CONTRAST, HIGH_CONTRAST_DARK, INKS, LIGHT, Palette
from ripenroom.window.style_sheet import style_sheet


class Look(StrEnum):
    """Which palette the user asked for."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"
    HIGH_CONTRAST = "high contrast"


def ink(of: QWidget | QGuiApplication | None = None) -> Palette:
    """The inks that go with the palette of a widget, or of the application."""
    palette = of.palette() if isinstance(of, QWidget) else QGuiApplication.palette()
    ground = palette.color(QPalette.ColorRole.Window).rgb()
    text = palette.color(QPalette.ColorRole.WindowText).rgb()
    for known in INKS:
        if known.paper.rgb() == ground and known.text.rgb() == text:
            return known
    return DARK if QColor(ground).lightness() < 128 else LIGHT


def wanted_ink(look: Look) -> Palette:
    """The inks for what the user asked for, following the system where that is asked."""
    hints = QGuiApplication.styleHints()
    system_is_dark = hints.colorScheme() == Qt.ColorScheme.Dark
    if look is Look.HIGH_CONTRAST:
        return HIGH_CONTRAST_DARK if system_is_dark else HIGH_CONTRAST
    if look is Look.SYSTEM and _system_wants_contrast():
        return HIGH_CONTRAST_DARK if system_is_dark else HIGH_CONTRAST
    if look is Look.DARK or (look is Look.SYSTEM and system_is_dark):
        return DARK
    return LIGHT


def _system_wants_contrast() -> bool:
    # QStyleHints.accessibility came with Qt 6.10; older ones cannot tell.
    accessibility = getattr(QGuiApplication.styleHints(), "accessibility", None)
    if accessibility is None:
        return False
    return bool(accessibility().contrastPreference() == Qt.ContrastPreference.HighContrast)


def palette_of(ink: Palette) -> QPalette:
    """The Qt palette that goes with ``ink``."""
    palette = QPalette()
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    for name, colour in {
        role.Window: ink.paper,
        role.WindowText: ink.text,
        role.Base: ink.field,
        role.AlternateBase: ink.panel,
        role.Text: ink.text,
        role.PlaceholderText: ink.faint,
        role.Button: ink.panel,
        role.ButtonText: ink.text,
        role.BrightText: ink.warning,
        role.Light: ink.field,
        role.Midlight: ink.panel,
        role.Mid: ink.line,
        role.Dark: ink.edge,
        role.Shadow: ink.edge,
        role.Highlight: ink.chosen,
        role.HighlightedText: ink.on_chosen,
        role.Accent: ink.accent,
        role.Link: ink.accent,
        role.LinkVisited: ink.accent,
        role.ToolTipBase: ink.panel,
        role.ToolTipText: ink.text,
    }.items():
        palette.setColor(name, colour)
    for name in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(group.Disabled, name, ink.edge)
    return palette


def dress(app: QApplication, look: Look, text_percent: int = 100) -> None:
    """Put style, palette, font size and control sizes on the whole application.

    Where it has them already nothing is done: every widget that there is would be dressed again.
    """
    if app.style().name() != "fusion":
        app.setStyle("Fusion")
    font = app.font()
    natural = app.property("naturalPointSize")
    if natural is None:
        # The size the platform chose, kept so that percentages do not build up.
        natural = QFontInfo(font).pointSizeF()
        app.setProperty("naturalPointSize", natural)
    font.setPointSizeF(max(float(natural), 10.0) * text_percent / 100.0)
    # Tabular figures: numbers in columns keep their places (not every font has them).
    font.setFeature(QFont.Tag("tnum"), 1)
    colours = wanted_ink(look)
    sheet = style_sheet(colours, font)
    if app.styleSheet() == sheet and app.font() == font and ink() is colours:
        return
    app.setFont(font)
    app.setPalette(palette_of(colours))
    app.setStyleSheet(sheet)


def bold(font: QFont) -> QFont:
    """The same font, heavy."""
    heavy = QFont(font)
    heavy.setBold(True)
    return heavy
