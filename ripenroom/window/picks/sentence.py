"""The sentence that says what a pick will be made into, before it is added."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.pick_entry import PickEntry
from ripenroom.season import actions
from ripenroom.window.names import feel_names


def what_it_makes(entry: PickEntry, crop: CropProfile) -> str:
    """``"Makes 3 batches: 9 slight give, 6 gives, 2 soft"``; empty before anything is counted.

    Where a weight says that more fruit were picked than felt, the sentence says how many, and asks.
    """
    if entry.feel_counts is None:
        return _by_weight(entry, crop)
    counts = entry.feel_counts
    parts = actions.picks.portions(entry, crop.fruit_mass_g.high / 1000.0)
    listed = ", ".join(
        f"{count} {name}" for count, name in zip(counts, feel_names(crop), strict=True) if count
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
    fruit = round(actions.picks.fruit_of(entry, crop))
    if entry.count is None and fruit != felt:
        text = QCoreApplication.translate(
            "Sentence",
            "Makes 1 batch: {felt} felt of about {fruit} by weight; the rest feel alike? If "
            "{felt} is all there is, type {felt} as the count.",
        )
        return text.format(felt=felt, fruit=fruit)
    return QCoreApplication.translate("Sentence", "Makes 1 batch: {parts}").format(parts=listed)


def _by_weight(entry: PickEntry, crop: CropProfile) -> str:
    if entry.count is not None or not entry.weight_kg:
        return ""
    text = QCoreApplication.translate("Sentence", "Makes 1 batch of about {fruit} by weight")
    return text.format(fruit=round(actions.picks.fruit_of(entry, crop)))
