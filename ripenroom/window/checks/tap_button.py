"""A large button to be hit with cold hands: each hit counts one."""

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import PlainLabel, set_hint


class TapButton(QPushButton):
    """Shows what is counted, how many there are, and the key that counts too."""

    def __init__(self, key: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoDefault(False)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._key = key
        self._name = WrappedLabel(parent=self)
        self._number = PlainLabel("0", self)
        self._number.setObjectName("tapNumber")
        hint = PlainLabel(self.tr("key {key}").format(key=key), self)
        hint.setObjectName("faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 6)
        layout.setSpacing(0)
        for label in (self._name, self._number, hint):
            label.setAlignment(Qt.AlignmentFlag.AlignCenter)
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            layout.addWidget(label, 1 if label is self._number else 0)
        self._fit()

    def show_count(self, what: str, count: int) -> None:
        """Say what is counted and how many there are."""
        self._name.setText(what)
        self._number.setText(str(count))
        self.setAccessibleName(self.tr("{what}: {count}").format(what=what, count=count))
        set_hint(
            self, self.tr("One more fruit: {what} (key {key})").format(what=what, key=self._key)
        )

    def changeEvent(self, event: QEvent) -> None:
        """Grow with the text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def _fit(self) -> None:
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * 2.2)
        self._number.setFont(font)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """As large as a thumb in a glove; the labels inside say nothing of that."""
        line = self.fontMetrics().height()
        return QSize(line * 5, line * 7)

    def hasHeightForWidth(self) -> bool:
        """No: the labels wrap, but the button is as high as a thumb wants it."""
        return False

    def minimumSizeHint(self) -> QSize:
        """Room for the labels."""
        line = self.fontMetrics().height()
        return QSize(line * 4, line * 6)
