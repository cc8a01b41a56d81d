"""That likely picks no longer count once a later one is expected, and whether to keep them."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.identity import new_id
from ripenroom.window.names import crop_name
from ripenroom.window.plain import PlainLabel
from ripenroom.window.planning.expected_words import likely_ahead
from ripenroom.window.session import Session


class KeepLikely(QWidget):
    """Shown only where a pick that is expected would take away likely ones before it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._likely = likely_ahead(session)
        self._ends: list[ExpectedPick] = []
        self.text = PlainLabel("", self)
        self.text.setWordWrap(True)
        self.keep = QCheckBox(self.tr("&Keep them as expected picks"), self)
        self.keep.setChecked(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.text)
        layout.addWidget(self.keep)
        self.hide()

    def show_for(self, crop: str | None, on: date) -> None:
        """Say which likely picks of a crop (None: of none) one that is expected ``on`` a day takes
        away."""
        likely = [one for one in self._likely if one.pick.crop == crop and one.pick.on < on]
        self._ends = [replace(one.pick, count=one.count.mid) for one in likely]
        self.setVisible(bool(likely))
        if crop is None or not likely:
            return
        self.text.setText(
            self.tr("The likely picks before this one will no longer count: {picks}.").format(
                picks=self._named(self._ends, crop)
            )
        )
        # What is hidden says nothing; a reader of the screen hears both together.
        self.keep.setAccessibleDescription(self.text.text())

    def kept(self) -> Iterator[ExpectedPick]:
        """The likely picks that are to be kept, as picks that are expected."""
        if self.keep.isChecked():
            yield from (replace(pick, id=new_id()) for pick in self._ends)

    def _named(self, picks: Sequence[ExpectedPick], crop: str) -> str:
        """``"about 55 pawpaw on Fri 2 Oct, about 50 on Sun 4 Oct"``."""
        words, name = self._session.words, crop_name(self._session.season.crops, crop).lower()
        said = [
            self.tr("about {count} {crop} on {day}").format(
                count=words.number(picks[0].count), crop=name, day=words.day(picks[0].on)
            )
        ]
        said += [
            self.tr("about {count} on {day}").format(
                count=words.number(pick.count), day=words.day(pick.on)
            )
            for pick in picks[1:]
        ]
        return ", ".join(said)
