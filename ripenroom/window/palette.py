"""The named colours that pages draw with: four sets in one hue."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from ripenroom.season.projection import FruitState


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they are for.

    Fruit state is told by lightness and fill in one hue, so that it survives a black and white
    printer and any colour sight: ``outline`` around nothing, ``holding`` as a middle tone,
    ``ready`` as the strongest, ``past`` as hatching. These stand at least 3:1 from every ground
    that fruit is drawn on (``paper``, ``panel``, ``band``, ``chosen``), and ``holding`` 3:1 from
    ``ready``. Texts are at least 4.5:1, also where a control is disabled (``edge``). ``warning``
    never stands alone: a word or a symbol goes with it.
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


def _ink(**colours: str) -> Palette:
    return Palette(**{name: QColor(code) for name, code in colours.items()})


LIGHT = _ink(
    paper="#fbf9f7",
    panel="#f2ede9",
    field="#ffffff",
    text="#231a21",
    faint="#65565f",
    line="#d9ced3",
    edge="#75606c",
    accent="#6b3357",
    on_accent="#ffffff",
    chosen="#ecdbe5",
    on_chosen="#231a21",
    warning="#8c2f14",
    warning_paper="#f8e9df",
    band="#ebe4e0",
    now="#231a21",
    outline="#86707d",
    holding="#937687",
    ready="#4a1c3a",
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
    chosen="#3c2434",
    on_chosen="#f6eef3",
    warning="#f0a27c",
    warning_paper="#3a241a",
    band="#2b2429",
    now="#efe6eb",
    outline="#9d8895",
    holding="#8f6f81",
    ready="#f6dbe9",
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
    holding="#767676",
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
    holding="#7f7f7f",
    ready="#ffffff",
    past="#ffffff",
)
INKS = (LIGHT, DARK, HIGH_CONTRAST, HIGH_CONTRAST_DARK)


def state_brush(state: FruitState, ink: Palette) -> QBrush:
    """What fills the mark of a state."""
    if state is FruitState.HOLDING:
        return QBrush(ink.holding)
    if state is FruitState.READY:
        return QBrush(ink.ready)
    if state is FruitState.PAST:
        return QBrush(ink.past, Qt.BrushStyle.BDiagPattern)
    return QBrush(Qt.BrushStyle.NoBrush)


def state_pen(state: FruitState, ink: Palette) -> QPen:
    """What goes around the mark of a state; fruit that won't ripen has a broken outline."""
    pen = QPen(ink.ready if state is FruitState.READY else ink.outline, 1.0)
    if state is FruitState.WONT_RIPEN:
        pen.setStyle(Qt.PenStyle.DashLine)
    return pen


def paint_mark(painter: QPainter, rect: QRectF, state: FruitState, ink: Palette) -> None:
    """Draw the mark of a state into ``rect``."""
    painter.save()
    painter.setPen(state_pen(state, ink))
    painter.setBrush(state_brush(state, ink))
    painter.drawRect(rect.adjusted(0.5, 0.5, -0.5, -0.5))
    painter.restore()
