"""Where a figure comes from: in words, as fields to fill in, and saved with the changed profile."""

import re
from collections.abc import Mapping
from types import MappingProxyType

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QPlainTextEdit

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ESTIMATE, INFERRED, ProfileRefusal
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.wording.names import begun

_LONGEST_SHORT = 48


def origin_of(crop: CropProfile, source: str, note: str = "") -> str:
    """In few words: ``"estimate"``, or who said it; what weakens it comes first.

    The end may be cut off where there is no room for it.
    """
    parts = []
    if sources_disagree(note):
        parts.append(tr("sources disagree"))
    if source == ESTIMATE:
        parts.append(tr("estimate"))
    elif source == INFERRED:
        parts.append(tr("from all statements"))
    elif source in crop.sources:
        cited = crop.sources[source]
        if not cited.seen:
            parts.append(tr("from memory"))
        parts.append(_who(cited.citation))
    return " · ".join(parts)


def told_of(crop: CropProfile, label: str, text: str, source: str, note: str = "") -> str:
    """All that is known of a figure, in sentences."""
    parts = [f"{label}: {text}."]
    if source == ESTIMATE:
        parts.append(tr("An estimate."))
    elif source == INFERRED:
        parts.append(tr("Worked out from everything published about this crop."))
    elif source in crop.sources:
        cited = crop.sources[source]
        said = tr("From {citation}") if cited.seen else tr("From memory, not looked up: {citation}")
        parts.append(sentence(said.format(citation=cited.citation)))
    elif not source:
        parts.append(tr("No source is given."))
    if note:
        parts.append(sentence(note))
    return " ".join(parts)


def sources_disagree(note: str) -> bool:
    """Whether a note says that sources contradict each other."""
    return "disagree" in note.casefold()


def _who(citation: str) -> str:
    """Authors and year where a citation begins with them, else all before its first comma."""
    dated = re.match(rf"(.{{3,{_LONGEST_SHORT}}}?\b(?:1[89]|20)\d\d\b)", citation)
    # No year in brackets that are still open.
    if dated and dated.group(1).count("(") == dated.group(1).count(")"):
        return dated.group(1)
    return citation.split(", ", 1)[0]


def short_citation(citation: str) -> str:
    """Authors and year where a citation begins with them, else its beginning."""
    first = _who(citation)
    if len(first) <= _LONGEST_SHORT:
        return first
    return first[:_LONGEST_SHORT].rsplit(" ", 1)[0] + "…"


def sentence(text: str) -> str:
    """A text that ends as a sentence does."""
    text = text.strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."


_NEW = "new source"
"""Not a key that a profile can have: keys are one word."""


class SourceFields(QObject):
    """The fields ``source``, ``citation`` and ``note``; the second only for a new source."""

    def __init__(self, crop: CropProfile, table: Mapping[str, object]) -> None:
        super().__init__()
        self.source = RecordChoice(24)
        # Only what was worked out from all statements can still be said to be so.
        inferred = [(INFERRED, tr("all statements together"))]
        self.source.set_choices(
            [
                (ESTIMATE, tr("my own estimate")),
                *(inferred if table.get("source") == INFERRED else []),
                *((key, short_citation(cited.citation)) for key, cited in crop.sources.items()),
                (_NEW, tr("another source…")),
            ]
        )
        self.source.choose(table.get("source"))
        self.citation = TypedLine(24)
        self.note = QPlainTextEdit()
        self.note.setPlainText(str(table.get("note", "")))
        self.note.setTabChangesFocus(True)
        self.note.setFixedHeight(4 * self.note.fontMetrics().lineSpacing() + 16)
        self.fields = {
            "source": Field(tr("&From"), self.source),
            "citation": Field(
                tr("&Who says so, and where"),
                self.citation,
                hint=tr("Author, year and title, so that others find it"),
            ),
            "note": Field(tr("&Note, or how you came to it"), self.note),
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


def save(
    season: Season,
    document: CropDocument,
    fields: Mapping[str, str],
    otherwise: str,
    names: Mapping[str, str] = MappingProxyType({}),
) -> CropProfile:
    """Save a profile; ``fields`` are form fields by the dotted keys they stand for.

    What is wrong with any other key was caused by the change too: it is told at the field
    ``otherwise``, with the key. ``names`` are what the window calls the figures, by their keys.
    """
    try:
        return season.do(actions.crops.save, document.text)
    except ProfileRefusal as refusal:
        if refusal.key in fields:
            reason = begun(_named(refusal.reason, names))
            raise Refusal(fields[refusal.key], "{reason}.", reason=reason) from None
        key, reason = (_named(text, names) for text in (refusal.key, refusal.reason))
        raise Refusal(otherwise, "{key}: {reason}.", key=key, reason=reason) from None


def _named(text: str, names: Mapping[str, str]) -> str:
    # Longest first: one key may begin another.
    for key in sorted(names, key=len, reverse=True):
        text = text.replace(key, f"“{names[key]}”")
    return text


def whole_or_not(number: float) -> float:
    """A number as it is best written: ``8`` and not ``8.0``."""
    return int(number) if number.is_integer() else number
