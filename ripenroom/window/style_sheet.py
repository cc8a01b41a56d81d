"""The few things that a palette cannot say: sizes for cold hands, and flat hairlines."""

from typing import TYPE_CHECKING

from PySide6.QtGui import QFont, QFontMetricsF

if TYPE_CHECKING:
    from ripenroom.window.theme import Ink

SMALLEST_TARGET = 36
"""Logical pixels that anything to be clicked is high at least."""


def target_height(font: QFont) -> int:
    """How high a control is in logical pixels: room for the text, and for a gloved finger."""
    return max(SMALLEST_TARGET, round(QFontMetricsF(font).height() * 1.9))


def style_sheet(ink: "Ink", font: QFont) -> str:
    """Qt style sheet for the whole application in these inks, sized by the font."""
    high = target_height(font)
    inner = high - 8  # borders and paddings below come to 8
    nav = round(QFontMetricsF(font).horizontalAdvance("n") * 19)
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
QPushButton:pressed, QToolButton:pressed, QToolButton:checked {{
    background: {ink.chosen.name()}; color: {ink.on_chosen.name()};
}}
QPushButton:default {{
    background: {name["accent"]}; color: {ink.on_accent.name()}; border-color: {name["accent"]};
}}
QPushButton:default:focus {{ border: 2px solid {name["text"]}; }}
QPushButton:disabled, QToolButton:disabled {{
    color: {name["edge"]}; border-color: {name["line"]};
}}
QToolButton::menu-indicator {{ image: none; }}
QLineEdit, QPlainTextEdit {{
    padding: 3px 6px; border: 1px solid {name["edge"]}; border-radius: 3px;
    background: {name["field"]}; color: {name["text"]};
}}
QLineEdit {{ min-height: {inner}px; }}
QLineEdit:focus, QPlainTextEdit:focus {{
    border: 2px solid {name["accent"]}; padding: 2px 5px;
}}
QLineEdit[refused="true"], QComboBox[refused="true"] {{ border: 2px solid {ink.warning.name()}; }}
QComboBox, QAbstractSpinBox {{ min-height: {high - 4}px; }}
QAbstractSpinBox QLineEdit, QComboBox QLineEdit {{ min-height: 0; border: none; padding: 0; }}
QCheckBox, QRadioButton {{ min-height: {high}px; spacing: 8px; }}
QTabBar::tab {{ min-height: {inner}px; }}
QMenu::item {{ padding: 6px 28px 6px 20px; }}
QMenu::item:selected {{ background: {ink.chosen.name()}; color: {ink.on_chosen.name()}; }}
QHeaderView {{ background: {name["paper"]}; }}
QHeaderView::section {{
    background: {name["paper"]}; color: {name["faint"]}; border: none;
    border-bottom: 1px solid {name["edge"]}; padding: 6px 8px;
}}
QTableView, QListView, QTreeView {{
    background: {name["paper"]}; border: none; gridline-color: {name["line"]};
    selection-background-color: {ink.chosen.name()}; selection-color: {ink.on_chosen.name()};
}}
QScrollArea {{ background: transparent; border: none; }}
QLabel#pageTitle {{ font-size: {round(font.pointSizeF() * 1.6, 1)}pt; }}
QFrame#navigation {{
    background: {name["panel"]}; border: none; border-right: 1px solid {name["line"]};
    min-width: {nav}px; max-width: {nav}px;
}}
QLabel#seasonName {{ color: {name["faint"]}; padding: 0 14px; }}
QFrame#navigation QPushButton {{
    text-align: left; border: none; border-left: 4px solid transparent; border-radius: 0;
    background: transparent; padding: 4px 12px 4px 12px;
}}
QFrame#navigation QPushButton:hover {{ color: {name["accent"]}; }}
QFrame#navigation QPushButton:checked {{
    border-left-color: {name["accent"]}; font-weight: bold;
    background: {name["paper"]}; color: {name["text"]};
}}
QFrame#navigation QPushButton:focus {{ text-decoration: underline; color: {name["accent"]}; }}
QLabel#readOnlyBanner {{
    background: {ink.warning_paper.name()}; color: {ink.warning.name()};
    border-bottom: 1px solid {ink.warning.name()};
}}
QLabel#practiceBanner {{
    background: {name["panel"]}; color: {name["faint"]}; border-bottom: 1px solid {name["line"]};
}}
QFrame#voice {{ background: {name["panel"]}; border: none; border-top: 1px solid {name["line"]}; }}
QToolTip {{
    background: {name["panel"]}; color: {name["text"]}; border: 1px solid {name["edge"]};
    padding: 4px;
}}
"""
