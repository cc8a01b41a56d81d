"""Saving a changed profile: what is refused is told by the form's field and not by the file's."""

from collections.abc import Mapping

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.refusal import Refusal
from ripenroom.season.living import LivingSeason


def save(
    season: LivingSeason, document: CropDocument, fields: Mapping[str, str], otherwise: str
) -> CropProfile:
    """Save a profile; ``fields`` are form fields by the dotted keys they stand for.

    What is wrong with any other key was caused by the change too: it is told at the field
    ``otherwise``, with the key.
    """
    try:
        return season.save_own_crop(document.text)
    except ProfileRefusal as refusal:
        if refusal.key in fields:
            raise Refusal(fields[refusal.key], "{reason}.", reason=_begun(refusal.reason)) from None
        raise Refusal(
            otherwise, "{key}: {reason}.", key=refusal.key, reason=refusal.reason
        ) from None


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]


def whole_or_not(number: float) -> float:
    """A number as it is best written: ``8`` and not ``8.0``."""
    return int(number) if number.is_integer() else number
