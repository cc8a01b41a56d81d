"""A crop's curves, and beside them those of a cultivar or crop; drawn when they are looked at."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from ripenroom.records.crop.crop_names import called
from ripenroom.season.crop_curves import DrawnCrop
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.session import Session
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import FlowLayout
from ripenroom.wording.names import feel_names

if TYPE_CHECKING:
    from ripenroom.window.crops.charts import CropCharts


@dataclass(frozen=True, slots=True)
class Compared:
    """A crop by its key, or one of its cultivars."""

    key: str
    cultivar_id: str | None = None

    def drawn(self, season: Season) -> DrawnCrop | None:
        """Its curves; None if the season does not know it any more."""
        crop = season.crops.get(self.key)
        if crop is None:
            return None
        cultivar = season.book.cultivars.get(self.cultivar_id or "")
        if cultivar is None:
            return DrawnCrop(called(crop), crop, season.crop_curves(self.key))
        group = cultivar.crop_group
        curves = season.crop_curves(self.key, cultivar.rate_factor, group)
        return DrawnCrop(cultivar.name, crop.of_group(group), curves)


def compare_choices(season: Season, key: str) -> list[tuple[object, str]]:
    """What the list offers: cultivars of this crop that go another way, then other crops."""
    of_groups = season.crops[key].of_groups if key in season.crops else {}
    cultivars = sorted(season.book.cultivars.values(), key=lambda c: c.name.casefold())
    paced: list[tuple[object, str]] = [
        (Compared(key, c.id), c.name)
        for c in cultivars
        if c.crop == key and (c.rate_factor != 1.0 or c.crop_group in of_groups)
    ]
    others = sorted(season.crops.values(), key=lambda crop: called(crop).casefold())
    return paced + [(Compared(crop.key), called(crop)) for crop in others if crop.key != key]


_WIDE_LETTERS = 72
_USUAL_FEEL = 1
"""Slight give: when most fruit is picked."""


class CurvesView(QWidget):
    """Which feel and which other crop, above; the charts below."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._key: str | None = None
        self._units: Units | None = None
        self.charts: CropCharts | None = None
        self.feel = RecordChoice(10, self)
        self.feel.setAccessibleName(tr("Picked when"))
        self.other = RecordChoice(12, self)
        self.other.setAccessibleName(tr("Compare with"))
        self._feel_label = PlainLabel(tr("Pic&ked when"), self)
        self._feel_label.setBuddy(self.feel)
        compare = PlainLabel(tr("C&ompare with"), self)
        compare.setBuddy(self.other)
        # A label and its list stay together where the line breaks.
        bar = FlowLayout(spacing=8)
        for label, choices in ((compare, self.other), (self._feel_label, self.feel)):
            pair = QWidget(self)
            beside = QHBoxLayout(pair)
            set_margins(beside, 0, 0, 8, 0)
            beside.addWidget(label)
            beside.addWidget(choices)
            bar.addWidget(pair)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 6, 0, 0)
        self._layout.setSpacing(6)
        self._layout.addLayout(bar)
        self.feel.activated.connect(self._draw)
        self.other.activated.connect(self._draw)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Names are whole where that costs no second row."""
        super().resizeEvent(event)
        wide = self.width() > self.fontMetrics().horizontalAdvance("n") * _WIDE_LETTERS
        self.other.setMinimumContentsLength(20 if wide else 12)

    def show_crop(self, key: str, units: Units) -> None:
        """Draw a crop's curves, and those of the one it is compared with."""
        season = self.session.season
        self._units = units
        crop = season.crops[key]
        felt = crop.judged_by != "nothing"
        self.feel.set_choices(list(enumerate(feel_names(crop)[:4])))
        if key != self._key:
            self.feel.choose(_USUAL_FEEL)
        self._key = key
        self.feel.setVisible(felt)
        self._feel_label.setVisible(felt)
        self.other.set_choices([(None, tr("nothing")), *compare_choices(season, key)])
        self._draw()

    def _draw(self) -> None:
        # pyqtgraph is imported with the charts, and only here.
        from ripenroom.window.crops.charts import CropCharts

        if self._key is None or self._units is None:
            return
        if self.charts is None:
            self.charts = CropCharts(self)
            self._layout.addWidget(self.charts, 1)
        season, feel = self.session.season, self.feel.value()
        chosen = self.other.value()
        other = chosen.drawn(season) if isinstance(chosen, Compared) else None
        self.charts.draw(
            Compared(self._key).drawn(season),
            other,
            feel if isinstance(feel, int) else _USUAL_FEEL,
            self._units,
        )
