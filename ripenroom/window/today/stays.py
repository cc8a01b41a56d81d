"""What stays where it is, and why: folded away until somebody asks."""

from PySide6.QtCore import QRect, QUrl, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.today.rich_text import GrownText
from ripenroom.wording.plan.itineraries import crates_words


class StaysList(QWidget):
    """A button that folds the list out and in; ``followed`` carries a link, ``looked_at`` says
    where in the list the keyboard is."""

    followed = Signal(QUrl)
    looked_at = Signal(QRect)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._crates = 0
        self.button = QPushButton(self)
        self.button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.button.clicked.connect(self._turn)
        set_hint(
            self.button,
            tr("What every crate that nobody moves today is waiting for, by place"),
        )
        self.text = GrownText(tr("What stays, and why"), self)
        self.text.anchorClicked.connect(self.followed)
        self.text.looked_at.connect(self.looked_at)
        self.text.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.button)
        layout.addWidget(self.text)

    @property
    def folded_out(self) -> bool:
        """Whether the list can be seen."""
        return not self.text.isHidden()

    def show_stays(self, html: str, crates: int, font: QFont) -> None:
        """Show this list of so many crates; without any there is no button either."""
        self._crates = crates
        self.text.write(html, font)
        self._say()
        self.setVisible(crates > 0)

    def _turn(self) -> None:
        self.text.setVisible(not self.folded_out)
        self._say()

    def _say(self) -> None:
        self.button.setText(
            tr("Hide what stays")
            if self.folded_out
            else tr("Show what stays, and why ({crates})").format(crates=crates_words(self._crates))
        )
