"""Where a figure comes from, in few words and in full."""

import re

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.figures import ESTIMATE, INFERRED
from ripenroom.records.crop.profile import CropProfile

_LONGEST_SHORT = 48


def origin_of(crop: CropProfile, source: str, note: str = "") -> str:
    """In few words: ``"estimate"``, or who said it; what weakens it comes first."""
    parts = []
    if sources_disagree(note):
        parts.append(QCoreApplication.translate("Crops", "sources disagree"))
    if source == ESTIMATE:
        parts.append(QCoreApplication.translate("Crops", "estimate"))
    elif source == INFERRED:
        parts.append(QCoreApplication.translate("Crops", "from all statements"))
    elif source in crop.sources:
        cited = crop.sources[source]
        if not cited.seen:
            parts.append(QCoreApplication.translate("Crops", "from memory"))
        parts.append(short_citation(cited.citation))
    return " · ".join(parts)


def told_of(crop: CropProfile, label: str, text: str, source: str, note: str = "") -> str:
    """All that is known of a figure, in sentences."""
    parts = [f"{label}: {text}."]
    if source == ESTIMATE:
        parts.append(QCoreApplication.translate("Crops", "An estimate."))
    elif source == INFERRED:
        parts.append(
            QCoreApplication.translate(
                "Crops", "Worked out from everything published about this crop."
            )
        )
    elif source in crop.sources:
        cited = crop.sources[source]
        said = (
            QCoreApplication.translate("Crops", "From {citation}")
            if cited.seen
            else QCoreApplication.translate("Crops", "From memory, not looked up: {citation}")
        )
        parts.append(sentence(said.format(citation=cited.citation)))
    elif not source:
        parts.append(QCoreApplication.translate("Crops", "No source is given."))
    if note:
        parts.append(sentence(note))
    return " ".join(parts)


def sources_disagree(note: str) -> bool:
    """Whether a note says that sources contradict each other."""
    return "disagree" in note.casefold()


def short_citation(citation: str) -> str:
    """Authors and year where a citation begins with them, else its beginning."""
    dated = re.match(rf"(.{{3,{_LONGEST_SHORT}}}?\b(?:1[89]|20)\d\d)\b", citation)
    if dated:
        return dated.group(1)
    first = citation.split(", ", 1)[0]
    if len(first) <= _LONGEST_SHORT:
        return first
    return first[:_LONGEST_SHORT].rsplit(" ", 1)[0] + "…"


def sentence(text: str) -> str:
    """A text that ends as a sentence does."""
    text = text.strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."
