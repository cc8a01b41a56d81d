"""What stands behind a crop's figures: how they were tested, and every source."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.crop_trust import error_sentence
from ripenroom.window.forms.wrapped_label import WrappedLabel


class BackgroundView(QScrollArea):
    """A page of text; the keyboard scrolls it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setAccessibleName(self.tr("Sources"))
        inner = QWidget(self)
        self._tested = WrappedLabel(parent=inner)
        self._sources = WrappedLabel(parent=inner)
        for label in (self._tested, self._sources):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(0, 8, 8, 8)
        layout.setSpacing(10)
        layout.addWidget(self._tested)
        layout.addWidget(self._sources)
        layout.addStretch(1)
        self.setWidget(inner)

    def show_crop(self, crop: CropProfile) -> None:
        """Show what is behind a crop's figures."""
        self._tested.setText(error_sentence(crop))
        lines = []
        for source in sorted(crop.sources.values(), key=lambda source: source.citation.casefold()):
            said = "{citation}" if source.seen else self.tr("{citation} (from memory)")
            lines.append("• " + said.format(citation=source.citation))
        self._sources.setText("\n\n".join(lines))
        self.setAccessibleDescription(f"{self._tested.text()}\n{self._sources.text()}")
