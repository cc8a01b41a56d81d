"""Taking in what other seasons taught, and dropping it."""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ripenroom.records.book import Book, new_id
from ripenroom.records.check import Lesson, TreeLesson
from ripenroom.records.crop.crop_names import called, within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions.action import Action, temperature_label
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr

if TYPE_CHECKING:
    from ripenroom.season.learning.lessons import SharedLesson, SharedLessons

_SAME_REFERENCE_K = 0.01


def take(state: SeasonState, shared: "SharedLessons") -> tuple[tuple[Lesson, ...], Action]:
    """Begin from what another season taught, in place of what the same one taught before.

    A crop's cultivars are taken where this season has one of the name; where it has none of them,
    what the crop as a whole taught is taken instead. What it taught of fruit on the tree comes
    along.
    """
    book = state.book
    taken = _speeds_that_fit(state, shared)
    trees = _of_trees_that_fit(book, shared.trees)
    if not taken and not trees:
        raise _why_none(state, shared)
    crops_taken = {lesson.crop for lesson in taken}
    before = tuple(
        lesson
        for lesson in book.lessons.values()
        if lesson.taught_by == shared.taught_by and lesson.crop in crops_taken
    )
    label = tr("lessons of {taught_by}").format(taught_by=shared.taught_by)
    return taken, Action(label, (*taken, *trees), before)


def _speeds_that_fit(state: SeasonState, shared: "SharedLessons") -> tuple[Lesson, ...]:
    crops = state.crops
    known = [
        lesson
        for lesson in shared.lessons
        if lesson.crop in crops and crops[lesson.crop].judged_by != "nothing"
    ]
    return tuple(
        _as_lesson(state.book, lesson, crops[lesson.crop], shared.taught_by)
        for crop in dict.fromkeys(lesson.crop for lesson in known)
        for lesson in _that_fit(state.book, [x for x in known if x.crop == crop])
    )


def _why_none(state: SeasonState, shared: "SharedLessons") -> Refusal:
    """Why nothing of what a season taught is of use here."""
    of_trees = {lesson.crop for lesson in shared.trees}
    every = {lesson.crop for lesson in shared.lessons} | of_trees
    known = every & set(state.crops)
    judged = {crop for crop in known if state.crops[crop].judged_by != "nothing"} | of_trees & known
    season, crops = shared.taught_by, ", ".join(sorted(every))
    if not every:
        return Refusal(
            "",
            "“{season}” has learned nothing yet: it has no check that counts, and no row was "
            "walked.",
            season=season,
        )
    if not known:
        return Refusal(
            "",
            "“{season}” learned about {crops}, which this season does not have.",
            season=season,
            crops=crops,
        )
    if not judged:
        return Refusal(
            "",
            "“{season}” learned about {crops}; how these soften is not known here, only their"
            " dates.",
            season=season,
            crops=crops,
        )
    return Refusal(
        "",
        "“{season}” learned about cultivars that this season does not have. Add them under "
        "Rows and cultivars, with the same names.",
        season=season,
    )


def _that_fit(book: Book, lessons: "Sequence[SharedLesson]") -> "list[SharedLesson]":
    """Of one crop's lessons, those about cultivars of this season, else that about the crop."""
    crop = lessons[0].crop
    names = {c.name.strip().casefold() for c in book.cultivars.values() if c.crop == crop}
    own = [x for x in lessons if x.cultivar and x.cultivar.strip().casefold() in names]
    return own or [lesson for lesson in lessons if lesson.cultivar is None]


def _as_lesson(book: Book, lesson: "SharedLesson", crop: CropProfile, taught_by: str) -> Lesson:
    speed = crop.rate
    if abs(speed.reference_c - lesson.reference_c) > _SAME_REFERENCE_K:
        raise Refusal(
            "",
            "What was learned about {crop} is for {theirs}, but this season’s figures "
            "are for {ours}: they cannot be compared.",
            crop=within(called(crop)),
            theirs=temperature_label(book, lesson.reference_c),
            ours=temperature_label(book, speed.reference_c),
        )
    log_life = _log_life(lesson, crop)
    return Lesson(
        id=new_id(),
        crop=lesson.crop,
        cultivar=lesson.cultivar,
        # The profile here may have another speed than the one that it was learned with.
        log_rate=lesson.log_rate + math.log(lesson.per_day / speed.per_day.value),
        log_rate_sd=lesson.log_rate_sd,
        checks=lesson.checks,
        taught_by=taught_by,
        log_life=log_life,
        log_life_sd=None if log_life is None else lesson.log_life_sd,
    )


def _log_life(lesson: "SharedLesson", crop: CropProfile) -> float | None:
    """The log of how many times as long as the profile here says ripe fruit lasts; None where the
    lesson says nothing of it, or the two cannot be compared."""
    own, log_life, days, celsius = crop.ripe_life, lesson.log_life, lesson.life_days, lesson.life_c
    if own is None or log_life is None or days is None or celsius is None:
        return None
    if abs(own.reference_c - celsius) > _SAME_REFERENCE_K:
        return None
    return log_life + math.log(days / own.days.value)


def take_of_trees(state: SeasonState, lessons: Sequence[TreeLesson]) -> Action:
    """Let rows begin from what another season taught of cultivars that this season has by name.

    A lesson of the same season and cultivar takes the place of an earlier one.
    """
    book = state.book
    if not lessons:
        raise Refusal("", "That season learned nothing about its rows: none was walked or picked.")
    taken = _of_trees_that_fit(book, lessons)
    taught_by = ", ".join(dict.fromkeys(lesson.taught_by for lesson in lessons))
    if not taken:
        raise Refusal(
            "",
            "“{season}” learned about cultivars that this season does not have. Add them "
            "under Rows and cultivars, with the same names.",
            season=taught_by,
        )
    return Action(tr("lessons of trees of {taught_by}").format(taught_by=taught_by), taken)


def _of_trees_that_fit(book: Book, lessons: Sequence[TreeLesson]) -> tuple[TreeLesson, ...]:
    """Those about cultivars of this season, by name."""
    names = {(c.crop, c.name.strip().casefold()) for c in book.cultivars.values()}
    return tuple(
        checked(lesson)
        for lesson in lessons
        if (lesson.crop, (lesson.cultivar or "").strip().casefold()) in names
    )


def forget_of_trees(state: SeasonState) -> Action:
    """Let rows begin from the book again, and from nothing that other seasons taught."""
    gone = tuple(state.book.tree_lessons.values())
    if not gone:
        raise Refusal("", "Rows do not start from another season.")
    return Action(tr("deletion of lessons of trees"), deleted=gone)


def delete(state: SeasonState, lesson_ids: Sequence[str]) -> Action:
    """Drop lessons: the season no longer begins from them."""
    book = state.book
    known: Mapping[str, Lesson | TreeLesson] = {**book.lessons, **book.tree_lessons}
    gone = [known[key] for key in dict.fromkeys(lesson_ids) if key in known]
    if not gone:
        raise Refusal("", "This lesson is not in the season any more.")
    taught_by = ", ".join(dict.fromkeys(lesson.taught_by for lesson in gone))
    return Action(
        tr("deletion of lessons of {taught_by}").format(taught_by=taught_by), deleted=tuple(gone)
    )
