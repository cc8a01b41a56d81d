"""The Qt style sheet: sizes that are easy to hit, and thin lines."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QFontMetricsF, QGuiApplication
from PySide6.QtWidgets import QWidget

from ripenroom.paths import resource
from ripenroom.window.palette import Palette

SMALLEST_TARGET = 36
"""Logical pixels that anything to be clicked is high at least."""

DAY_TIMES = 1.2
"""How much larger the page "Today" is written: it is read from further away than the others."""
SECTION_TIMES = 1.2
"""How much larger than its sentences its headings are: what "large" is to Qt's rich text."""
DATE_TIMES = 1.4
"""How much larger than its sentences its date is."""


def target_height(font: QFont) -> int:
    """How high a control is in logical pixels: room for the text, and for a gloved finger."""
    return max(SMALLEST_TARGET, round(QFontMetricsF(font).height() * 1.9))


def row_height(font: QFont) -> int:
    """How high a row of a table is (logical pixels): large letters need no more air than small."""
    return max(SMALLEST_TARGET, round(QFontMetricsF(font).height() * 1.5))


def style_sheet(ink: Palette, font: QFont) -> str:
    """Qt style sheet for the whole application in these inks, sized by the font."""
    high = target_height(font)
    from_right = QGuiApplication.layoutDirection() == Qt.LayoutDirection.RightToLeft
    begin, end = ("right", "left") if from_right else ("left", "right")
    inner = high - 8  # borders and paddings below come to 8
    tick = max(16, round(QFontMetricsF(font).height()))
    nav = round(QFontMetricsF(font).horizontalAdvance("n") * 19)
    shade = "pale" if ink.text.lightness() > 128 else "dark"

    def icon(of: str) -> str:
        # Style sheets want forward slashes on every system.
        return resource("icons", f"{of}-{shade}.svg").as_posix()

    def points(times: float) -> float:
        return round(font.pointSizeF() * times, 1)

    name = {
        field: getattr(ink, field).name()
        for field in ("paper", "panel", "field", "text", "faint", "line", "edge", "accent")
    }
    return f"""
QPushButton, QToolButton {{
    min-height: {inner}px; padding: 3px 12px; border: 1px solid {name["edge"]}; border-radius: 4px;
    background: {name["field"]}; color: {name["text"]};
}}
QPushButton:hover, QToolButton:hover {{ border-color: {name["accent"]}; }}
QPushButton:focus, QToolButton:focus {{ border: 2px solid {name["accent"]}; padding: 2px 11px; }}
QPushButton:pressed, QPushButton[latching="true"]:checked, QToolButton:pressed,
QToolButton:checked {{
    background: {ink.chosen.name()}; color: {ink.on_chosen.name()};
}}
QPushButton[latching="true"]:checked {{ border: 2px solid {name["text"]}; padding: 2px 11px; }}
QPushButton[latching="true"]:checked:focus {{ border: 2px solid {name["accent"]}; }}
QPushButton:default {{
    background: {name["accent"]}; color: {ink.on_accent.name()}; border-color: {name["accent"]};
}}
QPushButton:default:focus {{ border: 2px solid {name["text"]}; }}
QPushButton:disabled, QToolButton:disabled, QPushButton:default:disabled {{
    background: {name["panel"]}; color: {name["edge"]}; border: 1px dashed {name["line"]};
}}
QToolButton:checked:disabled {{
    background: {ink.chosen.name()}; color: {ink.on_chosen.name()};
}}
QWidget[tight="true"] QPushButton {{ padding: 3px 6px; }}
QWidget[tight="true"] QPushButton:focus {{ padding: 2px 5px; }}
QWidget[tight="true"] QCheckBox {{ spacing: 4px; }}
QToolButton::menu-indicator {{ image: none; }}
QToolButton[opens="calendar"] {{
    image: url({icon("calendar")}); min-width: {inner - 14}px; padding: 3px 9px;
}}
QLineEdit, QPlainTextEdit {{
    padding: 3px 6px; border: 1px solid {name["edge"]}; border-radius: 3px;
    background: {name["field"]}; color: {name["text"]}; placeholder-text-color: {name["faint"]};
}}
QLineEdit {{ min-height: {inner}px; }}
QLineEdit:focus, QPlainTextEdit:focus {{
    border: 2px solid {name["accent"]}; padding: 2px 5px;
}}
QComboBox, QAbstractSpinBox {{
    min-height: {inner}px; padding: 3px 6px; border: 1px solid {name["edge"]}; border-radius: 3px;
    background: {name["field"]}; color: {name["text"]}; placeholder-text-color: {name["faint"]};
}}
QComboBox:focus, QAbstractSpinBox:focus {{ border: 2px solid {name["accent"]}; padding: 2px 5px; }}
QComboBox:disabled, QAbstractSpinBox:disabled, QLineEdit:disabled {{
    border-color: {name["line"]}; color: {name["edge"]};
    placeholder-text-color: {name["faint"]};
}}
QComboBox::drop-down {{
    subcontrol-origin: border; subcontrol-position: center right; width: 24px; border: none;
}}
QComboBox::down-arrow {{
    image: url({icon("arrow-down")}); width: 12px; height: 12px;
}}
QComboBox QAbstractItemView {{
    background: {name["field"]}; border: 1px solid {name["edge"]};
    selection-background-color: {ink.chosen.name()}; selection-color: {ink.on_chosen.name()};
}}
QComboBox QAbstractItemView::item {{ min-height: {inner}px; }}
QSpinBox::up-button, QDoubleSpinBox::up-button {{
    subcontrol-origin: border; subcontrol-position: top right; width: 24px; border: none;
}}
QSpinBox::down-button, QDoubleSpinBox::down-button {{
    subcontrol-origin: border; subcontrol-position: bottom right; width: 24px; border: none;
}}
QSpinBox::up-arrow, QDoubleSpinBox::up-arrow {{
    image: url({icon("arrow-up")}); width: 12px; height: 12px;
}}
QSpinBox::down-arrow, QDoubleSpinBox::down-arrow {{
    image: url({icon("arrow-down")}); width: 12px; height: 12px;
}}
QAbstractSpinBox QLineEdit, QComboBox QLineEdit {{ min-height: 0; border: none; padding: 0; }}
QLineEdit[refused="true"], QComboBox[refused="true"] {{
    border: 2px solid {ink.warning.name()}; padding: 2px 5px;
}}
PlainLabel#refusal {{ color: {ink.warning.name()}; font-weight: bold; }}
QPushButton[leading="true"] {{
    background: {name["accent"]}; color: {ink.on_accent.name()}; border-color: {name["accent"]};
}}
QPushButton[leading="true"]:focus {{ border: 2px solid {name["text"]}; }}
QPushButton[leading="true"]:disabled {{
    background: {name["panel"]}; color: {name["edge"]}; border: 1px dashed {name["line"]};
}}
QCheckBox, QRadioButton {{ min-height: {high}px; spacing: 8px; }}
QCheckBox::indicator, QRadioButton::indicator {{
    width: {tick}px; height: {tick}px;
    border: 1px solid {name["edge"]}; background: {name["field"]};
}}
QCheckBox::indicator {{ border-radius: 2px; }}
QRadioButton::indicator {{ border-radius: {tick // 2}px; }}
QCheckBox::indicator:checked {{ image: url({icon("tick")}); }}
QRadioButton::indicator:checked {{ image: url({icon("dot")}); }}
QCheckBox:focus, QRadioButton:focus {{ color: {name["accent"]}; text-decoration: underline; }}
QCheckBox::indicator:focus, QRadioButton::indicator:focus {{ border: 2px solid {name["accent"]}; }}
QSlider {{ min-height: {high}px; }}
QSlider::groove:horizontal {{
    height: 2px; background: {name["edge"]}; margin: 0 10px;
}}
QSlider::handle:horizontal {{
    width: 14px; margin: -13px -7px; border-radius: 3px;
    background: {name["field"]}; border: 2px solid {name["accent"]};
}}
QSlider::handle:horizontal:focus, QSlider::handle:horizontal:pressed {{
    background: {name["accent"]};
}}
QTabBar::tab {{ min-height: {inner}px; }}
QMenu::item {{ padding: 6px 28px 6px 20px; }}
QMenu::item:selected {{ background: {ink.chosen.name()}; color: {ink.on_chosen.name()}; }}
QHeaderView {{ background: {name["paper"]}; }}
QHeaderView::section {{
    background: {name["paper"]}; color: {name["faint"]}; border: none;
    border-bottom: 1px solid {name["edge"]}; padding: 6px 4px;
}}
QTableView, QListView, QTreeView {{
    background: {name["paper"]}; border: none; gridline-color: {name["line"]};
    selection-background-color: {ink.chosen.name()}; selection-color: {ink.on_chosen.name()};
}}
QListWidget::item {{ padding-top: 6px; padding-bottom: 6px; }}
QListWidget::item:selected {{ background: {ink.chosen.name()}; color: {ink.on_chosen.name()}; }}
QScrollArea {{ background: transparent; border: none; }}
PlainLabel#pageTitle {{ font-size: {points(1.6)}pt; }}
PlainLabel#sectionTitle {{ font-weight: bold; }}
PlainLabel#dayDate {{ font-size: {points(DAY_TIMES * DATE_TIMES)}pt; font-weight: bold; }}
PlainLabel#daySection {{
    color: {name["accent"]}; font-size: {points(DAY_TIMES * SECTION_TIMES)}pt; font-weight: bold;
}}
PlainLabel#faint {{ color: {name["faint"]}; }}
QFrame#placeLine {{ border: none; border-bottom: 1px solid {name["line"]}; }}
QSplitter::handle {{ background: {name["line"]}; }}

QFrame#navigation {{
    background: {name["panel"]}; border: none; border-{end}: 1px solid {name["line"]};
    min-width: {nav}px; max-width: {nav}px;
}}
PlainLabel#seasonName {{ color: {name["faint"]}; padding: 0 12px; }}
QFrame#navigation QPushButton {{
    text-align: left; border: none; border-{begin}: 4px solid transparent; border-radius: 0;
    background: transparent; padding: 4px 12px 4px 12px;
}}
QFrame#navigation QPushButton:hover {{ color: {name["accent"]}; }}
QFrame#navigation QPushButton:checked {{
    border-{begin}-color: {name["accent"]}; font-weight: bold;
    background: {name["paper"]}; color: {name["text"]};
}}
QFrame#navigation QPushButton:focus {{ text-decoration: underline; color: {name["accent"]}; }}
QFrame#readOnlyBanner, QFrame#goneBanner {{
    background: {ink.warning_paper.name()}; border-bottom: 1px solid {ink.warning.name()};
}}
QFrame#readOnlyBanner PlainLabel, QFrame#goneBanner PlainLabel {{ color: {ink.warning.name()}; }}
QFrame#practiceBanner {{
    background: {name["panel"]}; border-bottom: 1px solid {name["line"]};
}}
QFrame#practiceBanner PlainLabel {{ color: {name["faint"]}; }}
QFrame#voice {{ background: {name["panel"]}; border: none; border-top: 1px solid {name["line"]}; }}
QToolTip {{
    background: {name["panel"]}; color: {name["text"]}; border: 1px solid {name["edge"]};
    padding: 4px;
}}
"""


def be_tight(row: QWidget, tight: bool) -> None:
    """Give the controls in a row less air to their sides, or as much as everywhere.

    They stay as high as they are, to be hit. :func:`style_sheet` says how much air that is.
    """
    if row.property("tight") is tight:
        return
    row.setProperty("tight", tight)
    # A style sheet looks at properties only when it is laid on.
    style = row.style()
    for widget in (row, *row.findChildren(QWidget)):
        style.unpolish(widget)
        style.polish(widget)
        widget.updateGeometry()
