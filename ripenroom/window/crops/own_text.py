"""Saving a changed profile: what is refused is told by the form's field and not by the file's."""

from collections.abc import Mapping
from types import MappingProxyType

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.names import begun


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
