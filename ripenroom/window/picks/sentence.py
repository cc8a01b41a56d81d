"""The sentence that says what a pick will be made into, before it is added."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.pick_entry import PickEntry
from ripenroom.season.changes.pick import portions
from ripenroom.window.names import feel_names


def what_it_makes(entry: PickEntry, heaviest_fruit_kg: float) -> str:
    """``"Makes 3 batches: 9 slight give, 6 gives, 2 soft"``; empty before anything is counted.

    ``heaviest_fruit_kg`` tells a whole pick from a sample, as when the pick is added.
    """
    if entry.feel_counts is None:
        return ""
    counts = entry.feel_counts
    parts = portions(entry, heaviest_fruit_kg)
    listed = ", ".join(
        f"{count} {name}" for count, name in zip(counts, feel_names(), strict=True) if count
    )
    many = len(parts)
    if many > 1:
        text = QCoreApplication.translate("Sentence", "Makes {many} batches: {parts}")
        return text.format(many=many, parts=listed)
    felt = sum(counts)
    if entry.count is not None and entry.count > felt:
        text = QCoreApplication.translate(
            "Sentence", "Makes 1 batch of {count}; felt {felt} of them: {parts}"
        )
        return text.format(count=entry.count, felt=felt, parts=listed)
    return QCoreApplication.translate("Sentence", "Makes 1 batch: {parts}").format(parts=listed)
