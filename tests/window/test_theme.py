"""The inks can be told apart by anyone, and the palettes carry them."""

import dataclasses

import pytest
from PySide6.QtGui import QColor, QFontInfo, QPalette
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.window.palette import DARK, HIGH_CONTRAST, INKS, LIGHT, Palette
from ripenroom.window.theme import Look, dress, ink, palette_of


def luminance(colour: QColor) -> float:
    """Relative luminance, WCAG 2.2."""

    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(p) for p in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio, WCAG 2.2."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("colours", INKS)
@pytest.mark.parametrize("ground", ["paper", "panel", "field", "band"])
def test_texts_stand_out_from_every_ground(colours: Palette, ground: str) -> None:
    behind = getattr(colours, ground)
    for name in ("text", "faint", "accent", "warning"):
        assert contrast(getattr(colours, name), behind) >= 4.5, name


@pytest.mark.parametrize("colours", INKS)
def test_texts_stand_out_from_the_ground_made_for_them(colours: Palette) -> None:
    assert contrast(colours.warning, colours.warning_paper) >= 4.5
    assert contrast(colours.on_chosen, colours.chosen) >= 4.5
    assert contrast(colours.on_accent, colours.accent) >= 4.5


@pytest.mark.parametrize("colours", INKS)
@pytest.mark.parametrize("ground", ["paper", "panel", "field", "band"])
def test_marks_stand_out_from_every_ground(colours: Palette, ground: str) -> None:
    for name in ("edge", "outline", "ready", "past", "now"):
        assert contrast(getattr(colours, name), getattr(colours, ground)) >= 3.0, name


@pytest.mark.parametrize("colours", INKS)
@pytest.mark.parametrize("ground", ["paper", "panel", "band", "chosen"])
def test_bars_of_fruit_stand_out_from_every_ground_they_are_drawn_on(
    colours: Palette, ground: str
) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for what has to be seen to understand a graphic."""
    behind = getattr(colours, ground)
    if ground == "chosen" and colours.chosen == colours.text:
        pytest.skip("in high contrast a selected line is framed, not filled")
    for name in ("holding", "ready", "past", "outline"):
        assert contrast(getattr(colours, name), behind) >= 3.0, name


@pytest.mark.parametrize("colours", INKS)
def test_placeholders_and_disabled_texts_can_be_read(colours: Palette) -> None:
    """WCAG asks it of placeholders (1.4.3), and leaves out what is disabled; growers read both."""
    palette, role = palette_of(colours), QPalette.ColorRole
    for ground in ("field", "panel", "paper"):
        behind = getattr(colours, ground)
        assert contrast(palette.color(role.PlaceholderText), behind) >= 4.5
        for text in (role.Text, role.WindowText, role.ButtonText):
            assert contrast(palette.color(QPalette.ColorGroup.Disabled, text), behind) >= 4.5


@pytest.mark.parametrize("colours", INKS)
def test_ready_and_holding_differ_by_lightness_alone(colours: Palette) -> None:
    assert contrast(colours.ready, colours.holding) >= 3.0


@pytest.mark.parametrize("colours", INKS)
def test_a_widget_tells_which_inks_go_with_its_palette(qtbot: QtBot, colours: Palette) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.setPalette(palette_of(colours))
    assert ink(widget) is colours


def test_an_unknown_palette_gets_the_nearer_inks(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    palette = widget.palette()
    palette.setColor(palette.ColorRole.Window, QColor("#101010"))
    widget.setPalette(palette)
    assert ink(widget) is DARK


@pytest.mark.parametrize(
    ("look", "expected"),
    [(Look.LIGHT, LIGHT), (Look.DARK, DARK), (Look.HIGH_CONTRAST, HIGH_CONTRAST)],
)
def test_dressing_puts_the_palette_on_the_application(
    qapp: QApplication, look: Look, expected: Palette
) -> None:
    dress(qapp, look)
    assert ink(qapp) is expected
    dress(qapp, Look.LIGHT)


def test_text_sizes_do_not_build_up(qapp: QApplication) -> None:
    dress(qapp, Look.LIGHT, 100)
    plain = QFontInfo(qapp.font()).pointSizeF()
    for _ in range(3):
        dress(qapp, Look.LIGHT, 150)
    assert QFontInfo(qapp.font()).pointSizeF() == pytest.approx(plain * 1.5, rel=0.05)
    dress(qapp, Look.LIGHT, 100)
    assert QFontInfo(qapp.font()).pointSizeF() == plain


def test_every_ink_is_an_opaque_colour() -> None:
    for colours in INKS:
        for field in dataclasses.fields(colours):
            colour = getattr(colours, field.name)
            assert colour.isValid()
            assert colour.alpha() == 255
