"""The form "Second grade": what fruit for pulp or freezing brings, crop by crop."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.market import SecondGrade
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.forms.crop_rows import CropChoices, CropRows, SoldRow, crop_choices
from ripenroom.window.forms.sold_by import KnownSales, Sold
from ripenroom.window.session import Session
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name


class GradeRow(SoldRow):
    """Crop, how much is taken in a day at most, and its price, under ``grade_<number>``."""

    def __init__(
        self,
        number: int,
        crops: CropChoices,
        words: Formats,
        grade: SecondGrade | None,
        parent: QWidget | None = None,
        sales: KnownSales | None = None,
    ) -> None:
        self._id = grade.id if grade is not None else new_id()
        super().__init__(
            f"grade_{number}",
            tr("&Crop, at most a day, price in {currency}"),
            (crops, tr("Crop")),
            (
                tr("Taken in a day at most; empty: any amount"),
                tr("Price of second grade, {currency}"),
            ),
            tr("No second grade of this crop"),
            words,
            parent,
            sales,
        )
        self.per_day = self.sold.amount
        self.per_day.setPlaceholderText(tr("any"))
        if grade is not None:
            self.crop.choose(grade.crop)
            by_fruit = grade.sold_by == "fruit"
            amount = grade.amount_per_day
            if by_fruit and grade.fruit_per_day is not None:
                amount = float(grade.fruit_per_day)
            price = grade.price_minor if by_fruit else grade.unit_price_minor
            self.sold.fill(Sold(grade.sold_by, amount, price, grade.fruit_per_box))

    def grade(self) -> SecondGrade:
        """What was typed, as a record; raises ``Refusal`` under this row's key."""
        crop = self.crop_key()
        sold = self.sold.read(self.key)
        if sold.unit_price_minor is None:
            raise Refusal(self.key_of("price"), "What does it bring? Type a price.")
        by_fruit = sold.sold_by == "fruit"
        return SecondGrade(
            id=self._id,
            crop=crop,
            price_minor=sold.unit_price_minor if by_fruit else 0,
            fruit_per_day=sold.fruit if by_fruit else None,
            sold_by=sold.sold_by,
            amount_per_day=None if by_fruit else sold.amount,
            unit_price_minor=None if by_fruit else sold.unit_price_minor,
            fruit_per_box=sold.fruit_per_box,
        )


class SecondGradeDialog(FormDialog):
    """One line per crop; all of it is saved in one step."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Second grade"))
        self.action_button.setText(tr("Save"))
        self.body.addWidget(
            WrappedLabel(
                tr(
                    "Ripe fruit that no market day takes, even if just past, can be sold for "
                    "pulp, drying or freezing. Enter what it brings, and the plan counts on that."
                ),
                self,
            )
        )
        self._lines: CropRows[GradeRow] = CropRows(self.board, self.add_row)
        self.body.addLayout(self._lines)
        self.more = QPushButton(tr("&Add another crop"), self)
        self.more.setAutoDefault(False)
        self.more.clicked.connect(self._add_another)
        self.body.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        crops = session.season.crops
        grades = session.season.book.second_grades.values()
        for grade in sorted(grades, key=lambda g: crop_name(crops, g.crop)):
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
        crops = crop_choices(self.session, grade.crop if grade is not None else None)
        sales = KnownSales.of(self.session.season)
        row = GradeRow(self._lines.made, crops, self.session.words, grade, self, sales)
        if grade is None:
            row.crop.choose(self._lines.unused(crops))
        return self._lines.put(row)

    def _add_another(self) -> None:
        row = self.add_row()
        self.grow()
        row.crop.setFocus()

    def carry_out(self) -> None:
        """Save what every line says."""
        self._lines.refuse_twice("{crop} is there twice; keep one line.")
        grades = [row.grade() for row in self._lines.filled()]
        self.session.season.do(actions.ahead.save_second_grades, grades)
