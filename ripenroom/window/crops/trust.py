"""How a crop is judged, whose figures it has, and how far they can be trusted, in words."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.profile import CropProfile

DOUBTFUL_PCT = 30.0
"""A crop that is off by more than this from published statements says so wherever it is met."""


def judged_words(crop: CropProfile) -> str:
    """How one tells how ripe its fruit is."""
    return {
        "firmness": QCoreApplication.translate("Crops", "by firmness"),
        "colour": QCoreApplication.translate("Crops", "by colour"),
        "nothing": QCoreApplication.translate("Crops", "dates only"),
    }[crop.judged_by]


def judged_sentence(crop: CropProfile) -> str:
    """The same as a sentence."""
    return {
        "firmness": QCoreApplication.translate("Crops", "Judged by firmness: hand or gauge."),
        "colour": QCoreApplication.translate("Crops", "Judged by the colour of its skin."),
        "nothing": only_dates_words(),
    }[crop.judged_by]


def only_dates_words() -> str:
    """What is told of a crop without a softening clock."""
    return QCoreApplication.translate(
        "Crops",
        "Only dates are published of it: no softening clock is known, so its ranges are wide.",
    )


def owner_words(own: bool) -> str:
    """Whose figures they are."""
    if own:
        return QCoreApplication.translate("Crops", "own")
    return QCoreApplication.translate("Crops", "built in")


def doubt_words(crop: CropProfile) -> str:
    """In few words, why to be careful with it; empty where it is as good as others."""
    held = crop.held_to
    if held is None or not held.statements:
        return QCoreApplication.translate("Crops", "not tested yet")
    if is_doubtful(crop):
        return QCoreApplication.translate("Crops", "days off by up to {percent} %").format(
            percent=round(held.error_pct)
        )
    return ""


def is_doubtful(crop: CropProfile) -> bool:
    """Whether it was found to be off by more than it should be."""
    return crop.held_to is not None and crop.held_to.error_pct > DOUBTFUL_PCT


def held_sentence(crop: CropProfile) -> str:
    """How it was held against published statements, and what came out."""
    held = crop.held_to
    if held is None or not held.statements:
        return QCoreApplication.translate(
            "Crops", "It was never compared with published statements that were not used to set it."
        )
    if held.error_pct < 0.5:
        return QCoreApplication.translate(
            "Crops",
            "Compared with {n} published statements that were not used to set it: all of them "
            "come out.",
        ).format(n=held.statements)
    said = (
        QCoreApplication.translate(
            "Crops",
            "Compared with {n} published statements that were not used to set it: its days are "
            "off by up to {percent}\u00a0%.",
        )
        if held.statements > 1
        else QCoreApplication.translate(
            "Crops",
            "Compared with 1 published statement that was not used to set it: its days are off "
            "by {percent}\u00a0%.",
        )
    )
    return said.format(n=held.statements, percent=round(held.error_pct))
