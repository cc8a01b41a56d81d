"""Adding a row of trees, or changing one."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.orchard import Row
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.window.names import by_name, crop_name
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine


class RowDialog(FormDialog):
    """Name, cultivar and number of trees of a row."""

    def __init__(self, session: Session, row_id: str | None, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        book, crops = session.season.book, session.season.crops
        self._row = book.rows[row_id] if row_id else None
        kept = self._row
        self.setWindowTitle(self.tr("Edit row") if kept else self.tr("Add a row"))
        self.action_button.setText(self.tr("Save") if kept else self.tr("Add"))
        self.name = TypedLine(18)
        self.cultivar = RecordChoice(16)
        cultivars = sorted(book.cultivars.values(), key=lambda c: (c.crop, by_name(c.name)))
        self.cultivar.set_choices(
            [
                (None, self.tr("not said")),
                *((c.id, f"{crop_name(crops, c.crop)} · {c.name}") for c in cultivars),
            ]
        )
        self.trees = TypedLine(6)
        if kept is not None:
            self.name.setText(kept.name)
            self.cultivar.choose(kept.cultivar_id)
            self.trees.setText("" if kept.trees is None else str(kept.trees))
        self.add("name", Field(self.tr("&Name"), self.name))
        self.add("cultivar_id", Field(self.tr("&Cultivar"), self.cultivar))
        self.add("trees", Field(self.tr("&Trees"), self.trees))
        self.fit()

    def carry_out(self) -> None:
        """Save the row."""
        typed = self.trees.text().strip()
        trees = None
        if typed:
            number = self.session.words.parse_number(typed)
            if number is None or number != int(number):
                raise Refusal("trees", "Trees: type a whole number, not “{typed}”.", typed=typed)
            trees = int(number)
        cultivar = self.cultivar.value()
        self.session.season.do(
            actions.orchard.save_row,
            Row(
                id=self._row.id if self._row else new_id(),
                name=self.name.text().strip(),
                cultivar_id=cultivar if isinstance(cultivar, str) else None,
                trees=trees,
            ),
        )
