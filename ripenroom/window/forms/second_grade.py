"""The form "Second grade": what fruit for pulp or freezing brings, crop by crop."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.identity import new_id
from ripenroom.records.market import SecondGrade
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.window.formats import Formats
from ripenroom.window.forms.crop_rows import CropChoices, CropRow, CropRows, crop_choices
from ripenroom.window.session import Session
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import TypedLine, shown_price, typed_price, whole_number
from ripenroom.window.widgets.layouts import WrappedLabel


class GradeRow(CropRow):
    """Crop, price of one fruit, and how many a day are taken, under ``grade_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Formats,
        grade: SecondGrade | None,
        parent: QWidget | None = None,
    ) -> None:
        self._id = grade.id if grade is not None else new_id()
        self.price = TypedLine(7, self.tr("price"))
        self.per_day = TypedLine(7, self.tr("any number"))
        super().__init__(
            f"grade_{number}",
            self.tr("&Crop, price each in {currency}, fruit a day at most"),
            (crops, self.tr("Crop")),
            (
                (self.price, self.tr("Price of one second-grade fruit, {currency}")),
                (self.per_day, self.tr("Fruit taken in a day at most; empty: any number")),
            ),
            self.tr("No second grade of this crop"),
            words,
            parent,
        )
        if grade is not None:
            self.crop.choose(grade.crop)
            self.price.setText(shown_price(grade.price_minor, words))
            if grade.fruit_per_day is not None:
                self.per_day.setText(words.number(grade.fruit_per_day))

    def grade(self) -> SecondGrade:
        """What was typed, as a record; raises ``Refusal`` under this row's key."""
        crop = self.crop_key()
        price_minor = typed_price(self.price, self._words, self.key)
        if price_minor is None:
            raise Refusal(self.key, "What does one fruit bring? Type a price.")
        typed = self.per_day.text().strip()
        per_day = whole_number(typed, self._words)
        if typed and per_day is None:
            raise Refusal(
                self.key,
                "Fruit a day: type a whole number, or nothing for any number, not “{typed}”.",
                typed=typed,
            )
        return SecondGrade(id=self._id, crop=crop, price_minor=price_minor, fruit_per_day=per_day)


class SecondGradeDialog(FormDialog):
    """One line per crop; all of it is saved in one step."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(self.tr("Second grade"))
        self.action_button.setText(self.tr("Save"))
        self.body.addWidget(
            WrappedLabel(
                self.tr(
                    "Ripe fruit that no market day takes, even if just past, may go for pulp, "
                    "drying or freezing. With a price here the plan counts on that."
                ),
                self,
            )
        )
        self._lines: CropRows[GradeRow] = CropRows(self.board, self.add_row)
        self.body.addLayout(self._lines)
        self.more = QPushButton(self.tr("&Add another crop"), self)
        self.more.setAutoDefault(False)
        self.more.clicked.connect(lambda: self.add_row().crop.setFocus())
        self.body.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        crops = session.season.crops
        grades = session.season.book.second_grades.values()
        for grade in sorted(
            grades, key=lambda g: crops[g.crop].name if g.crop in crops else g.crop
        ):
            self.add_row(grade)
        if not self.rows:
            self.add_row()
        self.fit()
        self.rows[0].price.setFocus()
        self.rows[0].price.selectAll()

    @property
    def rows(self) -> Sequence[GradeRow]:
        """The lines, from the top."""
        return self._lines.rows

    def add_row(self, grade: SecondGrade | None = None) -> GradeRow:
        """Another line for a crop, of the season's own crops first."""
        crops = crop_choices(self.session.season, grade.crop if grade is not None else None)
        row = GradeRow(self._lines.made, crops, self.session.words, grade, self)
        if grade is None:
            row.crop.choose(self._lines.unused(crops))
        return self._lines.put(row)

    def carry_out(self) -> None:
        """Save what every line says."""
        self._lines.refuse_twice("{crop} is there twice; keep one line.")
        rows = self._lines.filled()
        grades = [row.grade() for row in rows]
        for row, grade in zip(rows, grades, strict=True):
            if grade.fruit_per_day == 0:
                raise Refusal(
                    row.key, "No fruit a day is no second grade: take the line out instead."
                )
        self.session.season.do(actions.ahead.save_second_grades, grades)
