"""Making, changing and deleting the farm's own crop profiles."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from string import ascii_uppercase

from ripenroom.records.book import Book, new_id
from ripenroom.records.crop.crop_names import called
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile_text
from ripenroom.records.orchard import OwnCrop
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action
from ripenroom.season.crop_kinds import own_crops_of
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr

_TYPED = Path("crop")
"""Stands for the file of a profile that comes from none."""


def save(state: SeasonState, text: str) -> tuple[CropProfile, Action]:
    """The profile that the TOML ``text`` holds, and how it is written down.

    Raises :class:`ProfileRefusal` naming the dotted key that is wrong.
    """
    book, crops = state.book, state.crops
    profile = load_profile_text(text, _TYPED)
    _require_letter(book, crops, profile)
    old = _own(book, profile.key)
    known = old is not None or profile.key in crops
    record = OwnCrop(id=old.id if old else new_id(), key=profile.key, text=text)
    label = tr("change of crop {crop}") if known else tr("new crop {crop}")
    return profile, Action(label.format(crop=called(profile)), (record,))


def delete(state: SeasonState, key: str) -> Action:
    """Take an own crop out, so that the shipped one of its key, if any, counts again."""
    book = state.book
    record = _own(book, key)
    if record is None:
        raise Refusal("", "The season’s own crop “{key}” is not there any more.", key=key)
    if key not in shipped_profiles() and key in used_crops(book):
        raise Refusal(
            "",
            "The season still has batches, cultivars, market days, expected picks or second "
            "grade of “{key}”. Delete those first.",
            key=key,
        )
    return Action(tr("deletion of own crop {key}").format(key=key), deleted=(record,))


def used_crops(book: Book) -> frozenset[str]:
    """Keys of the crops that batches, cultivars, wants or what lies ahead name."""
    named: Iterable[str] = (
        record.crop
        for shelf in (
            book.batches,
            book.cultivars,
            book.wants,
            book.expected_picks,
            book.second_grades,
        )
        for record in shelf.values()
    )
    return frozenset(named)


def free_letters(book: Book, crops: Mapping[str, CropProfile]) -> tuple[str, ...]:
    """Batch letters that a new crop may take, those that no crop at all has first.

    There are nearly as many shipped crops as letters, so the letter of a shipped crop that this
    season does not use is free too.
    """
    by_any = {profile.letter for profile in crops.values()}
    kept = _kept_letters(book, crops)
    free = [letter for letter in ascii_uppercase if letter not in kept]
    return tuple(sorted(free, key=lambda letter: (letter in by_any, letter)))


def _kept_letters(book: Book, crops: Mapping[str, CropProfile]) -> dict[str, CropProfile]:
    """Letters of crops that are the farm's own or used in the season."""
    used = used_crops(book) | {record.key for record in own_crops_of(book)}
    return {profile.letter: profile for key, profile in crops.items() if key in used}


def _require_letter(book: Book, crops: Mapping[str, CropProfile], profile: CropProfile) -> None:
    before = crops.get(profile.key)
    if before is not None and before.letter == profile.letter:
        return
    others = {key: other for key, other in crops.items() if key != profile.key}
    holder = _kept_letters(book, others).get(profile.letter)
    if holder is not None:
        raise ProfileRefusal(
            _TYPED,
            "letter",
            tr("{letter} is taken by {holder}").format(letter=profile.letter, holder=holder.name),
        )


def _own(book: Book, key: str) -> OwnCrop | None:
    return next((own for own in own_crops_of(book) if own.key == key), None)
