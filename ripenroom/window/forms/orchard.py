"""Rows and cultivars: two lists to add to, change and delete from."""

from collections.abc import Mapping

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QWidget

from ripenroom.records.crop.crop_names import as_called
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import ask, room_for
from ripenroom.window.forms.cultivar import CultivarDialog
from ripenroom.window.forms.tree_row import RowDialog
from ripenroom.window.session import Session
from ripenroom.window.widgets.record_list import RecordList, RecordsDialog
from ripenroom.wording.checks import evidence_words, pace_words
from ripenroom.wording.names import by_name, crop_name


class OrchardDialog(RecordsDialog):
    """Rows and cultivars side by side."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Rows and cultivars"))
        self.rows = RecordList(
            tr("Rows of trees"),
            tr("No rows yet. Add one, and picks can say where they come from."),
            self,
        )
        self.cultivars = RecordList(
            tr("Cultivars"),
            tr("No cultivars yet. Add those that ripen at different times."),
            self,
        )
        # What was learned takes a line or two, large letters as well.
        for shown in (self.rows, self.cultivars):
            shown.list.setWordWrap(True)
        self.rows.addAsked.connect(lambda: ask(RowDialog(session, None, self)))
        self.rows.editAsked.connect(lambda row: ask(RowDialog(session, row, self)))
        self.rows.deleteAsked.connect(self._delete_row)
        self.cultivars.addAsked.connect(lambda: ask(CultivarDialog(session, None, self)))
        self.cultivars.editAsked.connect(lambda one: ask(CultivarDialog(session, one, self)))
        self.cultivars.deleteAsked.connect(self._delete_cultivar)
        lists = QHBoxLayout()
        lists.setSpacing(24)
        lists.addWidget(self.cultivars, 3)
        lists.addWidget(self.rows, 2)
        self.body.addLayout(lists, 1)
        self.close_button.setDefault(True)
        session.changed.connect(self._on_changed)
        self.refresh()
        self.cultivars.begin()
        line = self.fontMetrics().lineSpacing()
        self.resize(QSize(54 * line, 30 * line).boundedTo(room_for(self)))

    def _on_changed(self, changed: Changed) -> None:
        if changed.figures or changed.learned:
            self.refresh()

    def refresh(self) -> None:
        """Show rows and cultivars as they are now."""
        season = self.session.season
        book, crops = season.book, season.crops
        self.note.clear()
        cultivars = sorted(book.cultivars.values(), key=lambda c: (c.crop, by_name(c.name)))
        self.cultivars.show_records(
            [(c.id, " · ".join([_called(c, crops), c.name, *self._pace(c)])) for c in cultivars]
        )
        lines: list[tuple[str, str]] = []
        for row in sorted(book.rows.values(), key=lambda row: by_name(row.name)):
            cultivar = book.cultivars.get(row.cultivar_id or "")
            trees = ""
            if row.trees is not None:
                trees = tr_n("{n} tree", "{n} trees", row.trees)
                trees = trees.format(n=row.trees)
            parts = [row.name, cultivar.name if cultivar else "", trees]
            lines.append((row.id, " · ".join(part for part in parts if part)))
        self.rows.show_records(lines)
        writable = season.read_only_because is None
        for shown in (self.rows, self.cultivars):
            shown.setEnabled(writable)

    def _pace(self, cultivar: Cultivar) -> list[str]:
        """How fast it softens: as learned from checks, else where it has a pace of its own."""
        learned = self.session.season.learned
        rate = learned.rate_of(cultivar.crop, cultivar.id) if learned else None
        if rate is not None and (rate.checks or rate.taught_by):
            return [f"{pace_words(rate, self.session.words)}, {evidence_words(rate)}"]
        if cultivar.rate_factor == 1.0:
            return []
        times = self.session.words.figures(cultivar.rate_factor, 3)
        return [tr("{times} times as fast").format(times=times)]

    def _delete_row(self, row_id: str) -> None:
        self.run_deletion(lambda: self.session.season.do(actions.orchard.delete_row, row_id))

    def _delete_cultivar(self, cultivar_id: str) -> None:
        self.run_deletion(
            lambda: self.session.season.do(actions.orchard.delete_cultivar, cultivar_id)
        )


def _called(cultivar: Cultivar, crops: Mapping[str, CropProfile]) -> str:
    """Its crop, with the group whose figures it goes by where these are not the whole crop's."""
    crop, name = crops.get(cultivar.crop), crop_name(crops, cultivar.crop)
    group = cultivar.crop_group
    if crop is None or group is None or group not in crop.of_groups:
        return name
    return f"{name}, {as_called(crop, group)}"
