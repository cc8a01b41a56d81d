"""Where a figure comes from: an estimate with its reasoning, a known source, or a new one."""

from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtWidgets import QPlainTextEdit

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.figures import ESTIMATE, INFERRED
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.window.crops.origin import short_citation
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.typed_line import TypedLine

_NEW = "new source"
"""Not a key that a profile can have: keys are one word."""


class SourceFields(QObject):
    """The fields ``source``, ``citation`` and ``note``; the second only for a new source."""

    def __init__(self, crop: CropProfile, table: Mapping[str, object]) -> None:
        super().__init__()
        say = QCoreApplication.translate
        self.source = Choices(24)
        # Only what was worked out from all statements can still be said to be so.
        inferred = [(INFERRED, say("SourceFields", "all statements together"))]
        self.source.set_choices(
            [
                (ESTIMATE, say("SourceFields", "my own estimate")),
                *(inferred if table.get("source") == INFERRED else []),
                *((key, short_citation(cited.citation)) for key, cited in crop.sources.items()),
                (_NEW, say("SourceFields", "another source…")),
            ]
        )
        self.source.choose(table.get("source"))
        self.citation = TypedLine(24)
        self.note = QPlainTextEdit()
        self.note.setPlainText(str(table.get("note", "")))
        self.note.setTabChangesFocus(True)
        self.note.setFixedHeight(4 * self.note.fontMetrics().lineSpacing() + 16)
        self.fields = {
            "source": Field(say("SourceFields", "&From"), self.source),
            "citation": Field(
                say("SourceFields", "&Who said so, where"),
                self.citation,
                hint=say("SourceFields", "Author, year and title, so that others can find it"),
            ),
            "note": Field(say("SourceFields", "&Note, or how you came to it"), self.note),
        }
        self.source.currentIndexChanged.connect(self._show_citation)
        self._show_citation()

    def put_into(self, document: CropDocument) -> tuple[str, str]:
        """Source key and note; a new source is added to the document. Raises ``Refusal``."""
        source, note = str(self.source.value()), self.note.toPlainText().strip()
        if source != _NEW:
            return source, note
        citation = self.citation.text().strip()
        if not citation:
            raise Refusal("citation", "Say who said so, and where.")
        sources = document.table(("sources",))
        key = next(k for n in range(len(sources) + 1) if (k := f"own_{n + 1}") not in sources)
        document.put(("sources", key), {"citation": citation, "seen": True})
        return key, note

    def _show_citation(self) -> None:
        self.fields["citation"].setVisible(self.source.value() == _NEW)
