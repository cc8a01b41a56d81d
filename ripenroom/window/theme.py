"""How the program looks: three palettes in one hue, and the named inks that pages draw with.

The platform's own dark mode reaches Qt only on some systems, so the palettes are ours; the
platform is asked merely which of them it would like.
"""

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontInfo, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from ripenroom.window.style_sheet import style_sheet


class Look(StrEnum):
    """Which palette the user asked for."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"
    HIGH_CONTRAST = "high contrast"


@dataclass(frozen=True, slots=True)
class Ink:
    """Colours by what they are for.

    Fruit state is told by lightness and fill in one hue, so that it survives a black and white
    printer and any colour sight: ``outline`` around nothing, ``holding`` as a light fill,
    ``ready`` as a solid one, ``past`` as hatching. ``outline`` and ``edge`` stand at least 3:1
    from ``paper``, ``panel`` and ``field``; texts at least 4.5:1. ``warning`` never stands alone:
    a word or a symbol goes with it.
    """

    paper: QColor  # the page
    panel: QColor  # what frames the page
    field: QColor  # where one types
    text: QColor
    faint: QColor  # less important text
    line: QColor  # hairlines that only guide the eye
    edge: QColor  # borders of controls
    accent: QColor
    on_accent: QColor
    chosen: QColor  # behind what is selected
    on_chosen: QColor
    warning: QColor
    warning_paper: QColor
    band: QColor  # a market day across the queue
    now: QColor  # the line of the present moment
    outline: QColor
    holding: QColor
    ready: QColor
    past: QColor


def _ink(**colours: str) -> Ink:
    return Ink(**{name: QColor(code) for name, code in colours.items()})


LIGHT = _ink(
    paper="#fbf9f7",
    panel="#f2ede9",
    field="#ffffff",
    text="#231a21",
    faint="#65565f",
    line="#d9ced3",
    edge="#86707d",
    accent="#6b3357",
    on_accent="#ffffff",
    chosen="#e9d6e1",
    on_chosen="#231a21",
    warning="#8c2f14",
    warning_paper="#f8e9df",
    band="#ebe4e0",
    now="#231a21",
    outline="#86707d",
    holding="#dcc3d1",
    ready="#6b3357",
    past="#86707d",
)
DARK = _ink(
    paper="#1c181b",
    panel="#241f23",
    field="#151114",
    text="#efe6eb",
    faint="#b5a5ae",
    line="#463b42",
    edge="#9d8895",
    accent="#d9a3c2",
    on_accent="#1c181b",
    chosen="#4d2d41",
    on_chosen="#f6eef3",
    warning="#f0a27c",
    warning_paper="#3a241a",
    band="#2b2429",
    now="#efe6eb",
    outline="#9d8895",
    holding="#6a4a5c",
    ready="#e0b3cc",
    past="#9d8895",
)
HIGH_CONTRAST = _ink(
    paper="#ffffff",
    panel="#ffffff",
    field="#ffffff",
    text="#000000",
    faint="#000000",
    line="#000000",
    edge="#000000",
    accent="#000000",
    on_accent="#ffffff",
    chosen="#000000",
    on_chosen="#ffffff",
    warning="#000000",
    warning_paper="#ffffff",
    band="#e4e4e4",
    now="#000000",
    outline="#000000",
    holding="#bdbdbd",
    ready="#000000",
    past="#000000",
)
HIGH_CONTRAST_DARK = _ink(
    paper="#000000",
    panel="#000000",
    field="#000000",
    text="#ffffff",
    faint="#ffffff",
    line="#ffffff",
    edge="#ffffff",
    accent="#ffffff",
    on_accent="#000000",
    chosen="#ffffff",
    on_chosen="#000000",
    warning="#ffffff",
    warning_paper="#000000",
    band="#2e2e2e",
    now="#ffffff",
    outline="#ffffff",
    holding="#6e6e6e",
    ready="#ffffff",
    past="#ffffff",
)
INKS = (LIGHT, DARK, HIGH_CONTRAST, HIGH_CONTRAST_DARK)


def ink(of: QWidget | QGuiApplication | None = None) -> Ink:
    """The inks that go with the palette of a widget, or of the application."""
    palette = of.palette() if isinstance(of, QWidget) else QGuiApplication.palette()
    ground = palette.color(QPalette.ColorRole.Window).rgb()
    text = palette.color(QPalette.ColorRole.WindowText).rgb()
    for known in INKS:
        if known.paper.rgb() == ground and known.text.rgb() == text:
            return known
    return DARK if QColor(ground).lightness() < 128 else LIGHT


def wanted_ink(look: Look) -> Ink:
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


def palette_of(ink: Ink) -> QPalette:
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
    """Put style, palette, font size and control sizes on the whole application."""
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
    app.setFont(font)
    colours = wanted_ink(look)
    app.setPalette(palette_of(colours))
    app.setStyleSheet(style_sheet(colours, font))
