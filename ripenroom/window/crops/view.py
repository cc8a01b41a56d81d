"""One crop: what it is, how far to trust it, its figures, its curves and what is published."""

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtWidgets import (
    QPushButton,
    QScrollArea,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.crop.crop_names import called
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.texts import tr
from ripenroom.units import NEWTONS_PER
from ripenroom.window.crops.curves import CurvesView
from ripenroom.window.crops.figure_dialog import FigureDialog
from ripenroom.window.crops.figure_list import FigureList
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import FigureRow, figure_groups
from ripenroom.window.crops.published.view import PublishedView
from ripenroom.window.dialogs import ask
from ripenroom.window.plain import PlainLabel, set_hint, set_margins
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import target_height
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.crops import (
    about_words,
    caution_words,
    error_sentence,
    is_doubtful,
    judged_sentence,
)


class BackgroundView(QScrollArea):
    """A page of text; the keyboard scrolls it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setAccessibleName(tr("Sources"))
        inner = QWidget(self)
        self._tested = WrappedLabel(parent=inner)
        self._sources = WrappedLabel(parent=inner)
        for label in (self._tested, self._sources):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 8, 8, 8)
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
            said = "{citation}" if source.seen else tr("{citation} (from memory)")
            lines.append("• " + said.format(citation=source.citation))
        self._sources.setText("\n\n".join(lines))
        self.setAccessibleDescription(f"{self._tested.text()}\n{self._sources.text()}")


_UNIT_SETTING = "crops/force_unit"


class CropView(QWidget):
    """The right of the page. ``copyAsked`` and the like carry the crop's key."""

    copyAsked = Signal(str)  # noqa: N815 - named as Qt names signals
    exportAsked = Signal(str)  # noqa: N815
    deleteAsked = Signal(str)  # noqa: N815

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.key: str | None = None
        self._name = PlainLabel(parent=self)
        self._name.setObjectName("sectionTitle")
        self.copy_button = self._button(tr("Cop&y…"), self.copyAsked)
        set_hint(self.copy_button, tr("Make a crop of your own from this one"))
        self.export_button = self._button(tr("E&xport…"), self.exportAsked)
        set_hint(self.export_button, tr("Save this crop as a file"))
        self.delete_button = self._button("", self.deleteAsked)
        # Flows into two rows where the window is narrow or letters are large.
        head = FlowLayout(spacing=6)
        head.addWidget(self._name)
        for button in (self.delete_button, self.copy_button, self.export_button):
            head.addWidget(button)
        self.problem = WrappedLabel(parent=self)
        self.problem.setObjectName("refusal")
        self.about = WrappedLabel(parent=self)
        self.about.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.tabs = QTabWidget(self)
        self.figures = FigureList(self)
        self.figures.editAsked.connect(self._edit)
        self.figures.unitChosen.connect(self._choose_unit)
        self.curves = CurvesView(session, self)
        self.about_page = QScrollArea(self)
        self.about_page.setWidgetResizable(True)
        self.about_page.setWidget(self.about)
        self.about_page.setAccessibleName(tr("About this crop"))
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.figures, tr("Fi&gures"))
        self.tabs.addTab(self.curves, tr("Cu&rves"))
        self.published = PublishedView(session, self)
        self.tabs.addTab(self.published, tr("Pub&lished"))
        self.background = BackgroundView(self)
        self.tabs.addTab(self.background, tr("&Sources"))
        self.tabs.currentChanged.connect(self._show_tab)
        layout = QVBoxLayout(self)
        set_margins(layout, 14, 0, 0, 0)
        layout.setSpacing(6)
        layout.addLayout(head)
        layout.addWidget(self.problem)
        layout.addWidget(self.about_page)
        layout.addWidget(self.tabs, 1)

    def _button(self, text: str, asked: SignalInstance) -> QPushButton:
        button = QPushButton(text, self)
        button.clicked.connect(lambda: asked.emit(self.key))
        return button

    @property
    def units(self) -> Units:
        """What figures are read in."""
        words = self.session.words
        usual = words.force_unit
        kept = self.session.settings.value(_UNIT_SETTING, usual)
        return Units(words, next((unit for unit in NEWTONS_PER if unit == kept), usual))

    def show_crop(self, key: str) -> None:
        """Show a crop, or why the season's own crop of that key cannot be read."""
        self.key = key
        season = self.session.season
        crop = season.crops.get(key)
        own = key in {record.key for record in season.book.own_crops.values()}
        writable = season.read_only_because is None
        self._name.setText(called(crop) if crop else key)
        self._name.setMinimumHeight(target_height(self.font()))
        self.delete_button.setVisible(own)
        self.delete_button.setText(
            tr("&Back to built-in figures") if key in shipped_profiles() else tr("&Delete")
        )
        self.delete_button.setEnabled(writable)
        self.copy_button.setEnabled(writable and crop is not None)
        self.problem.setVisible(crop is None)
        self.about_page.setVisible(crop is not None)
        self.tabs.setVisible(crop is not None)
        if crop is None:
            self.problem.setText("! " + " ".join(season.crop_problems))
            return
        self.about.setText(self._about(crop))
        self._fit_about()
        self._show_figures(crop, writable)
        self.background.show_crop(crop)
        self._show_tab()

    def resizeEvent(self, event: object) -> None:
        """Buttons keep their place beside short and long names, where there is room."""
        usual = self.fontMetrics().horizontalAdvance("n") * 18
        self._name.setMinimumWidth(min(usual, self.width() // 3))
        self._fit_about()

    def _fit_about(self) -> None:
        """The text about the crop takes the lines that it needs, up to a fifth of the height."""
        needed = self.about.heightForWidth(max(self.width() - 20, 100)) + 4
        self.about_page.setFixedHeight(min(needed, max(self.height() // 5, 40)))

    def _about(self, crop: CropProfile) -> str:
        doubt = error_sentence(crop) if is_doubtful(crop) else ""
        words = self.session.words
        parts = [about_words(crop, words), judged_sentence(crop), doubt]
        about = " ".join(part for part in parts if part)
        if crop.cautions:
            about += "\n" + tr("Caution: {cautions}").format(cautions=caution_words(crop, words))
        return about

    def _show_figures(self, crop: CropProfile, writable: bool) -> None:
        document = CropDocument(self.session.season.crop_text(crop.key))
        units = self.units
        self.figures.show_groups(
            figure_groups(document, crop, units),
            units.force,
            by_gauge=crop.judged_by == "firmness",
            writable=writable,
        )

    def _show_tab(self) -> None:
        # Curves are worked out, and their drawing is imported, only when they are looked at; so is
        # what the program says of published statements.
        tab = self.tabs.currentWidget()
        if self.key is None or self.key not in self.session.season.crops:
            return
        if tab is self.curves:
            self.curves.show_crop(self.key, self.units)
        elif tab is self.published:
            self.published.show_crop(self.key, self.units)

    def _choose_unit(self, unit: str) -> None:
        self.session.settings.setValue(_UNIT_SETTING, unit)
        if self.key is not None:
            self.show_crop(self.key)

    def _edit(self, line: FigureRow) -> None:
        if self.key is not None:
            ask(FigureDialog(self.session, self.key, line, self.units, self))
