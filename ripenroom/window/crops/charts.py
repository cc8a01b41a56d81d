"""A crop's curves: softening, days to ready, and how long cold and storage are borne.

Importing this module imports pyqtgraph: it is imported when curves are first looked at.
"""

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from ripenroom.records.crop.crop_names import gate_called
from ripenroom.season.crop_curves import DrawnCrop, EstimateRange
from ripenroom.season.projection import FloatColumn
from ripenroom.texts import tr
from ripenroom.units import force_in, temperature_in
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.plot import CurvePlot, Line, Mark
from ripenroom.window.plain import set_margins
from ripenroom.wording.names import begun

_SHORTEST_DAYS = 0.5
_COMPARED_AT_C = (10.0, 20.0)
"""Two of the other crop's curves are enough to see how it differs."""
_TOLD_AT_C = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
_NAMED_AT_COLDEST, _LOWER_PER_C, _COMPARED_NAMED_AT = 0.85, 0.025, 0.45
"""Names stand lower on warmer curves, which are apart only further down."""
_WIDTH_OF_SOFTENING = 3.5
"""Times as long as fruit at 20 C needs to be past: colder curves are seen in part."""


class CropCharts(QScrollArea):
    """The plots of one crop below each other; those that say nothing are left out."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setAccessibleName(tr("Curves"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        inner = QWidget(self)
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 0, 8, 0)
        layout.setSpacing(10)
        self.softening = CurvePlot(tr("Softening"), log=False, parent=inner)
        self.ready = CurvePlot(tr("Days until half is ready"), log=True, parent=inner)
        self.cold = CurvePlot(tr("Longest in the cold"), log=True, parent=inner)
        self.gate = CurvePlot(tr("Needed first"), log=True, parent=inner)
        for plot in (self.softening, self.ready, self.cold, self.gate):
            layout.addWidget(plot)
        layout.addStretch(1)
        self.setWidget(inner)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A whole plot is in sight with its words, where there is room for that."""
        super().resizeEvent(event)
        line = self.fontMetrics().height()
        high = min(max(round(self.viewport().height() * 0.78), 11 * line), 26 * line)
        for plot in (self.softening, self.ready, self.cold, self.gate):
            plot.plot.setFixedHeight(high)

    def draw(self, one: DrawnCrop | None, other: DrawnCrop | None, feel: int, units: Units) -> None:
        """Draw a crop, and dashed beside it another; ``feel`` is the one that is picked."""
        if one is None:
            return
        self._draw_softening(one, other, units)
        temperatures = _Temperatures(units)
        temperatures.draw(
            self.ready,
            [
                (drawn, name, _of_feel(drawn, feel), drawn is not one)
                for drawn, name in _named(one, other)
            ],
        )
        temperatures.draw(self.cold, _in_the_cold(one, other))
        gated = [
            (
                drawn,
                ", ".join([*([] if drawn is one else [name]), gate_called(drawn.crop.gate)]),
                drawn.curves.gate_days,
                drawn is not one,
            )
            for drawn, name in _named(one, other)
            if drawn.crop.gate is not None
        ]
        temperatures.draw(self.gate, gated if one.crop.gate is not None else [])

    def _draw_softening(self, one: DrawnCrop, other: DrawnCrop | None, units: Units) -> None:
        curves = one.curves.softening
        self.softening.setVisible(bool(curves))
        if not curves:
            return
        firmness = one.crop.firmness
        by_colour = one.crop.judged_by == "colour"
        convert: Callable[[float], float] = (
            (lambda green: green) if by_colour else (lambda newton: force_in(newton, units.force))
        )
        unit = tr("% green") if by_colour else units.force
        self.softening.heading.setText(
            tr("Coloring, from mature fruit") if by_colour else tr("Softening, from mature fruit")
        )
        self.softening.name_axes(
            tr("days since pick"),
            unit if by_colour else tr("firmness, {unit}").format(unit=unit),
        )
        last = _last_day(one)
        lines, told = [], []
        for celsius, curve in curves.items():
            y = np.array([convert(float(value)) for value in curve.firmness])
            name = units.words.temperature(celsius, 0)
            share = _NAMED_AT_COLDEST - celsius * _LOWER_PER_C
            lines.append(Line(name, curve.days, y, named_at=_down(curve.firmness, one, share)))
            told.append(self._told_softening(one, name, curve.days, curve.firmness, units))
        lines += self._compared(one, other, convert, units)
        marks = (
            Mark(tr("ready below"), convert(firmness.ready_n.value)),
            Mark(tr("past below"), convert(firmness.too_soft_n.value)),
        )
        top = max(float(np.max(line.y)) for line in lines) * 1.08
        words = tr("Ready after: {list}.").format(list="; ".join(told))
        self.softening.draw(lines, (0.0, last), (0.0, top), words, marks)

    def _compared(
        self,
        one: DrawnCrop,
        other: DrawnCrop | None,
        convert: Callable[[float], float],
        units: Units,
    ) -> list[Line]:
        if other is None or other.crop.judged_by != one.crop.judged_by:
            return []
        lines = []
        for celsius in _COMPARED_AT_C:
            curve = other.curves.softening[celsius]
            y = np.array([convert(float(value)) for value in curve.firmness])
            name = f"{other.name}, {units.words.temperature(celsius, 0)}"
            at = _down(curve.firmness, other, _COMPARED_NAMED_AT)
            lines.append(Line(name, curve.days, y, dashed=True, named_at=at))
        return lines

    def _told_softening(
        self, one: DrawnCrop, name: str, days: FloatColumn, firmness: FloatColumn, units: Units
    ) -> str:
        ready = np.flatnonzero(firmness <= one.crop.firmness.ready_n.value)
        if not ready.size:
            return tr("{temperature} not within {days} days").format(
                temperature=name, days=units.words.number(float(days[-1]))
            )
        return tr("{temperature} {days} days").format(
            temperature=name, days=units.words.number(float(days[ready[0]]), 1)
        )


_Entry = tuple[DrawnCrop, str, EstimateRange, bool]
"""Whose band it is, what is written on it, the band, and whether it is only compared."""


class _Temperatures:
    """Draws bands over temperature in the season's unit."""

    def __init__(self, units: Units) -> None:
        self._units = units

    def draw(self, plot: CurvePlot, entries: list[_Entry]) -> None:
        """Draw some bands; the plot is hidden where none of the crop itself says anything."""
        own = [band for _, _, band, compared in entries if not compared]
        known = [band for band in own if np.isfinite(band.mid).any()]
        plot.setVisible(bool(known))
        if not known:
            return
        lines = [
            Line(name, self._x(drawn.curves.temperatures_c), *_columns(band), dashed=compared)
            for drawn, name, band, compared in entries
        ]
        all_bands = [band for _, _, band, _ in entries]
        most = max(_most(band) for band in all_bands)
        least = max(min(_least(band) for band in all_bands), _SHORTEST_DAYS)
        seen = [self._x(drawn.curves.temperatures_c)[np.isfinite(band.mid)]
                for drawn, _, band, _ in entries if np.isfinite(band.mid).any()]  # fmt: skip
        x_range = (min(float(x.min()) for x in seen), max(float(x.max()) for x in seen))
        unit = self._units.words.temperature_unit
        plot.name_axes(f"°{unit}", tr("days"))
        words = " ".join(self._told(entry) for entry in entries)
        plot.draw(lines, x_range, (least * 0.9, most * 1.1), words)

    def _told(self, entry: _Entry) -> str:
        drawn, name, band, _ = entry
        words = self._units.words
        at_c = drawn.curves.temperatures_c
        parts = []
        for celsius in _TOLD_AT_C:
            n = int(np.argmin(np.abs(at_c - celsius)))
            low, mid, high = (float(column[n]) for column in band)
            if math.isnan(mid):
                continue
            upper = "…" if math.isnan(high) else words.number(high, _digits(high))
            text = tr("{temperature} {days} ({low}–{high})")
            parts.append(
                text.format(
                    temperature=words.temperature(celsius, 0),
                    days=words.number(mid, _digits(mid)),
                    low=words.number(low, _digits(low)),
                    high=upper,
                )
            )
        told = tr("{what}, days: {list}.")
        return told.format(what=begun(name), list="; ".join(parts))

    def _x(self, celsius: FloatColumn) -> FloatColumn:
        unit = self._units.words.temperature_unit
        return np.array([temperature_in(float(one_c), unit) for one_c in celsius])


def _named(one: DrawnCrop, other: DrawnCrop | None) -> list[tuple[DrawnCrop, str]]:
    return [(drawn, drawn.name) for drawn in (one, other) if drawn is not None]


def _of_feel(drawn: DrawnCrop, feel: int) -> EstimateRange:
    """Days to ready of one feel; of a crop that nobody feels there is one row only."""
    row = feel if len(drawn.curves.days_to_ready.mid) > 1 else 0
    return EstimateRange(*(column[row] for column in drawn.curves.days_to_ready))


def _in_the_cold(one: DrawnCrop, other: DrawnCrop | None) -> list[_Entry]:
    entries: list[_Entry] = []
    for drawn, name in _named(one, other):
        compared = drawn is not one
        for band, what in (
            (drawn.curves.storage_days, tr("storage")),
            (drawn.curves.chilling_days, tr("chilling")),
        ):
            if np.isfinite(band.mid).any():
                said = f"{name}, {what}" if compared else what
                entries.append((drawn, said, band, compared))
    return entries


def _columns(band: EstimateRange) -> tuple[FloatColumn, FloatColumn, FloatColumn]:
    return band.mid, band.low, band.high


def _most(band: EstimateRange) -> float:
    finite = band.high[np.isfinite(band.high) & np.isfinite(band.mid)]
    mids = band.mid[np.isfinite(band.mid)]
    return float(max(finite.max(initial=0.0), mids.max(initial=_SHORTEST_DAYS)))


def _least(band: EstimateRange) -> float:
    finite = band.low[np.isfinite(band.low) & np.isfinite(band.mid)]
    return float(finite.min(initial=1e3))


def _digits(days: float) -> int:
    return 1 if days < 10 else 0


def _last_day(one: DrawnCrop) -> float:
    """Until when softening is drawn."""
    warm = one.curves.softening[20.0]
    past = np.flatnonzero(warm.firmness <= one.crop.firmness.too_soft_n.value)
    last = float(warm.days[past[0]]) * _WIDTH_OF_SOFTENING if past.size else float(warm.days[-1])
    return float(np.clip(last, 10.0, warm.days[-1]))


def _down(firmness: FloatColumn, drawn: DrawnCrop, share: float) -> int | None:
    """Where a curve has come down to a share of its height; None if it does not get there."""
    marks = drawn.crop.firmness
    lowest = marks.lowest_n.value
    below = np.flatnonzero(firmness <= lowest + share * (marks.at_maturity_n.value - lowest))
    return int(below[0]) if below.size else None
