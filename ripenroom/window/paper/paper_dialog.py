"""Asks on which paper something is printed, shows it first, or saves it as a PDF."""

from PySide6.QtGui import QPageSize
from PySide6.QtWidgets import QPushButton, QWidget

from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.paper.output import Paint, choose_pdf, show_preview, usual_paper, write_pdf
from ripenroom.window.session import Session

_KEY = "paper"
_PAPERS = {"a4": QPageSize.PageSizeId.A4, "letter": QPageSize.PageSizeId.Letter}


class PaperDialog(FormDialog):
    """Prints what ``paint`` paints; nothing in the season changes.

    ``title`` says what it is; a PDF is called ``name`` unless the user says otherwise.
    """

    def __init__(
        self, session: Session, title: str, name: str, paint: Paint, parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._name = name
        self._paint = paint
        self.setWindowTitle(title)
        self.action_button.setText(self.tr("&Preview and print…"))
        self.pdf_button = QPushButton(self.tr("Save as P&DF…"), self)
        self.pdf_button.setAutoDefault(False)
        self.pdf_button.clicked.connect(self.save)
        self.buttons.insertWidget(1, self.pdf_button)
        self.paper = Choices(24)
        self.paper.set_choices(
            [("a4", self.tr("A4, 210 × 297 mm")), ("letter", self.tr("Letter, 8.5 × 11 in"))]
        )
        usual = next(key for key, size in _PAPERS.items() if size == usual_paper(session))
        self.paper.choose(usual)
        self.paper.choose(str(session.settings.value(_KEY, "")))
        self.add("paper", Field(self.tr("P&aper"), self.paper))
        self.fit()

    def chosen_paper(self) -> QPageSize.PageSizeId:
        """The paper to print on, which is remembered."""
        key = str(self.paper.value())
        self.session.settings.setValue(_KEY, key)
        return _PAPERS[key]

    def carry_out(self) -> None:
        """Show the pages as they will be printed."""
        show_preview(self.session, self._paint, self.chosen_paper(), self)

    def save(self) -> None:
        """Ask where to, and write the pages into a PDF file."""
        self.board.clear()
        path = choose_pdf(self.session, self, self._name)
        if path is not None and self.session.run(
            self.tr("Written: {file}").format(file=path.name),
            lambda: write_pdf(self._paint, self.chosen_paper(), path),
            self.board.show,
        ):
            self.reject()  # it is done, and there is nothing to carry out
