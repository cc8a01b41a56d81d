"""The sentence that says what a pick will be made into, before it is added."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.batch import FeelCounts
from ripenroom.window.names import feel_names


def what_it_makes(counts: FeelCounts | None, split: bool) -> str:
    """``"Makes 3 batches: 9 slight give, 6 gives, 2 soft"``; empty before anything is counted."""
    if counts is None:
        return ""
    parts = [f"{count} {name}" for count, name in zip(counts, feel_names(), strict=True) if count]
    many = len(parts) if split else 1
    listed = ", ".join(parts)
    if many == 1:
        return QCoreApplication.translate("Sentence", "Makes 1 batch: {parts}").format(parts=listed)
    return QCoreApplication.translate("Sentence", "Makes {many} batches: {parts}").format(
        many=many, parts=listed
    )
