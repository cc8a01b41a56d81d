"""Words on screen for codes: crops, groups, fruit, places, market days and feels."""

from collections.abc import Iterable, Mapping

from ripenroom.records.crop.crop_names import as_called, called, fruit_noun
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketKind
from ripenroom.records.place import PlaceKind
from ripenroom.texts import tr


def feel_names(crop: CropProfile | None = None) -> tuple[str, ...]:
    """The hand feels from hardest to softest, in the order of ``feel_counts``.

    A crop that is looked at instead has names of its own, which come with its profile.
    """
    if crop is not None and crop.feel.names:
        return tuple(as_called(crop, name) for name in crop.feel.names)
    return (
        tr("hard"),
        tr("slight give"),
        tr("gives"),
        tr("soft"),
        tr("too soft"),
    )


def place_kind_name(kind: PlaceKind) -> str:
    """A kind of place in words."""
    return {
        "cold room": tr("cold room"),
        "cool shelf": tr("cool shelf"),
        "ripening room": tr("ripening room"),
        "counter": tr("counter"),
        "field bin": tr("field bin"),
    }[kind]


def market_kind_name(kind: MarketKind) -> str:
    """A kind of market day in words."""
    return {
        "market": tr("market"),
        "festival": tr("festival"),
        "farm stand": tr("farm stand"),
        "shop order": tr("shop order"),
    }[kind]


def crop_name(crops: Mapping[str, CropProfile], key: str) -> str:
    """A crop's name, or its key where its profile is not at hand."""
    return called(crops[key]) if key in crops else key


def fruit_name(crops: Mapping[str, CropProfile], key: str, count: float = 2.0) -> str:
    """What so many fruit of a crop are called within a sentence: "pawpaw", "Anjou pears"."""
    return fruit_noun(crops[key], count) if key in crops else key


def group_name(crops: Mapping[str, CropProfile], key: str, group: str) -> str:
    """What a group of a crop's cultivars is called."""
    return as_called(crops[key], group) if key in crops else group


def by_name(name: str) -> tuple[str, int]:
    """Order in which "Row 10" comes after "Row 9"."""
    letters = name.rstrip("0123456789")
    digits = name[len(letters) :]
    return letters.casefold(), int(digits) if digits else -1


def sentences(texts: Iterable[str]) -> str:
    """Texts as sentences behind each other, without the last stop; empty ones are left out."""
    return ". ".join(begun(text) for text in texts if text)


def begun(text: str) -> str:
    """A text as a sentence or a heading begins: the first letter a capital, the rest as it is."""
    return text[:1].upper() + text[1:]
