"""Actions on what lies ahead: expected picks, and prices of second-grade fruit."""

from collections.abc import Collection, Sequence

from ripenroom.records.checking import checked
from ripenroom.records.market import ExpectedPick, SecondGrade
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import LONGEST_WAIT, Action
from ripenroom.season.actions.orchard import require_cultivar
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import require_place
from ripenroom.texts import tr


def save_expected_pick(state: SeasonState, pick: ExpectedPick) -> Action:
    """Make or change a pick that is expected, or the word that nothing more is, today or on a day
    ahead."""
    book, today = state.book, state.today
    checked(pick)
    if pick.crop not in state.crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=pick.crop)
    if pick.cultivar_id is not None:
        require_cultivar(book, pick.cultivar_id, pick.crop)
    if not max(today, book.season.first_day) <= pick.on <= today + LONGEST_WAIT:
        raise Refusal(
            "on",
            "An expected pick is for today or later, at most {days} days from now. Enter what"
            " is already picked on Picks.",
            days=LONGEST_WAIT.days,
        )
    require_place(book, pick.place_id)
    label = _what(pick)
    if pick.id in book.expected_picks:
        label = tr("change of {what}").format(what=label)
    return Action(label, (pick,))


def save_expected_picks(state: SeasonState, picks: Sequence[ExpectedPick]) -> Action:
    """:func:`save_expected_pick` for some picks, the first of which gives the action its name."""
    saved = [save_expected_pick(state, pick) for pick in picks]
    return Action(saved[0].label, tuple(record for one in saved for record in one.put))


def delete_expected_pick(state: SeasonState, pick_id: str) -> Action:
    """Expect a pick no longer."""
    found = state.book.expected_picks.get(pick_id)
    if found is None:
        raise Refusal("", "This expected pick is not in the season any more.")
    return Action(tr("deletion of {what}").format(what=_what(found)), deleted=(found,))


def _what(pick: ExpectedPick) -> str:
    if pick.nothing_more:
        return tr("no more to pick of {crop}").format(crop=pick.crop)
    return tr("expected pick of {count} {crop}").format(count=pick.count, crop=pick.crop)


def save_second_grades(state: SeasonState, grades: Sequence[SecondGrade]) -> Action:
    """Say for every crop of which second grade is taken what one fruit brings; all in one."""
    seen: set[str] = set()
    for grade in grades:
        _require_grade(grade, state.crops)
        if grade.crop in seen:
            raise Refusal("crop", "“{crop}” is there twice: put it on one line.", crop=grade.crop)
        seen.add(grade.crop)
    kept = {grade.id for grade in grades}
    dropped = tuple(g for g in state.book.second_grades.values() if g.id not in kept)
    return Action(tr("change of second grade"), tuple(grades), dropped)


def _require_grade(grade: SecondGrade, crops: Collection[str]) -> None:
    checked(grade)
    if grade.crop not in crops:
        raise Refusal("crop", "There is no crop “{crop}” here.", crop=grade.crop)
