"""What is shown while no season is open: the ways to begin."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from ripenroom.window.plain import PlainLabel


class Welcome(QWidget):
    """Three ways to begin, in words."""

    newSeason = Signal()  # noqa: N815 - named as Qt names signals
    openSeason = Signal()  # noqa: N815
    openPractice = Signal()  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        heading = PlainLabel(self.tr("No season is open"), self)
        heading.setObjectName("pageTitle")
        text = PlainLabel(
            self.tr(
                "A season file keeps the picks of one harvest: what was picked, how it felt, "
                "where it waits. Begin one for your farm, or look around in the practice season, "
                "which is invented and may be changed freely."
            ),
            self,
        )
        text.setWordWrap(True)
        text.setMaximumWidth(640)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(32, 32, 32, 32)
        layout.setSpacing(12)
        layout.addWidget(heading)
        layout.addWidget(text)
        layout.addSpacing(8)
        self.buttons: list[QPushButton] = []
        for says, signal in (
            (self.tr("Begin a new season…"), self.newSeason),
            (self.tr("Open a season file…"), self.openSeason),
            (self.tr("Open the practice season"), self.openPractice),
        ):
            button = QPushButton(says, self)
            button.clicked.connect(signal)
            button.setMinimumWidth(260)
            layout.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
            self.buttons.append(button)
        layout.addStretch(1)
