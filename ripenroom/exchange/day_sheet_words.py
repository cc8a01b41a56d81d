"""Short English sentences of the day sheet, for those who read it without the window."""

from collections.abc import Sequence
from datetime import datetime

from ripenroom.records.batch import FEELS
from ripenroom.records.wording import fruit_noun
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.day_sheet import DayTask
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import Clearing, PlannedItinerary, Staying, StayReason
from ripenroom.season.season import Season

_AS_GOOD = 0.01
"""Shares that differ by less are the same to anyone's eyes."""


def day_words(moment: datetime, season: Season) -> str:
    """``"today"``, ``"tomorrow"`` or ``"Sat 3 Oct"``, in the home zone."""
    local = moment.astimezone(season.zone)
    ahead = (local.date() - season.now().date()).days
    return {0: "today", 1: "tomorrow"}.get(ahead, f"{local:%a} {local.day} {local:%b}")


def crates_words(crates: int) -> str:
    """``"1 crate"``, ``"3 crates"``."""
    return "1 crate" if crates == 1 else f"{crates} crates"


def fruit_words(line: PlannedItinerary, season: Season) -> str:
    """The batch's code, or what is still to be picked."""
    batch = season.book.batches.get(line.batch_id)
    if batch is not None:
        return batch.code
    pick = season.book.expected_picks.get(line.expected_pick_id or "")
    return "a pick still to come" if pick is not None else ""


def place_words(place_id: str | None, season: Season) -> str:
    """The name of a place; empty without one."""
    place = season.book.places.get(place_id or "")
    return place.name if place is not None else ""


def market_words(market_day_id: str | None, season: Season) -> str:
    """``"Quayside market, Sat 3 Oct"``; empty without one."""
    day = season.book.market_days.get(market_day_id or "")
    return "" if day is None else f"{day.name}, {day_words(day.starts_at, season)}"


def what_words(line: PlannedItinerary, season: Season, crates: int | None = None) -> str:
    """``"30 pawpaws, gives: 2 crates of P-0914-2"``; ``crates`` of a line where not all."""
    book, count = season.book, line.crates if crates is None else crates
    of = book.batches.get(line.batch_id) or book.expected_picks.get(line.expected_pick_id or "")
    code = f"{crates_words(count)} of {fruit_words(line, season)}"
    if of is None:
        return code
    fruit = round(line.fruit * count / max(line.crates, 1))
    return f"{fruit} {_fruit(of.crop, fruit, line.batch_id, season)}: {code}"


def _fruit(crop: str, count: int, batch_id: str, season: Season) -> str:
    """``"pawpaws, gives"``: how they felt when they were last squeezed comes last."""
    profile, felt = season.crops.get(crop), season.ask.last_felt(batch_id)
    noun = fruit_noun(profile.name if profile is not None else crop, count)
    if felt is None:
        return noun
    own = profile.feel.names if profile is not None else ()
    return f"{noun}, {own[FEELS.index(felt)] if own else felt}"


def squeeze_words(check: CheckNext, season: Season) -> str:
    """``"Squeeze 12 pawpaws, slight give: P-0914-2 in Cold room"``."""
    batch, place = season.book.batches[check.batch_id], season.place_of(check.batch_id)
    fruit = _fruit(batch.crop, check.fruit, batch.id, season)
    where = f" in {place.name}" if place is not None else ""
    return f"Squeeze {check.fruit} {fruit}: {batch.code}{where}"


def ready_words(line: PlannedItinerary, season: Season) -> str:
    """``"for Quayside market, Sat 3 Oct: 78 % ready"``; empty without a market day."""
    market = market_words(line.market_day_id, season)
    if market:
        return f"for {market}: {_share(line.expected_ready_share)} ready"
    return "it keeps there for a later market day" if line.kept else ""


def if_left_words(line: PlannedItinerary, left: Delay | None) -> str:
    """What is lost by not moving; empty where nothing is known of that."""
    if left is None:
        return ""
    later = line.expected_ready_share if left.later is None else left.later
    if min(later, left.never) > line.expected_ready_share - _AS_GOOD:
        return "as good here, but its room is needed"
    return f"left here {_share(left.never)}"


def move_words(lines: Sequence[PlannedItinerary], season: Season) -> str:
    """What is moved from where; several lines are swapped."""
    if len(lines) == 1:
        return f"{what_words(lines[0], season)} from {place_words(lines[0].from_place_id, season)}"
    ends = [(line.from_place_id, line.next_step().to_place_id) for line in lines]
    here, there = ends[0]
    if set(ends) <= {(here, there), (there, here)}:
        these, those = (
            ", ".join(what_words(line, season) for line in lines if line.from_place_id == place)
            for place in (here, there)
        )
        between = f"{place_words(here, season)} and {place_words(there, season)}"
        return f"Swap {these} and {those} between {between}"
    return f"Swap round {', '.join(_way(line, season) for line in lines)}"


def goal_words(deed: DayTask, season: Season) -> str:
    """Where a move goes, as a heading: ``"To Cold room"``."""
    if deed.done:
        move = season.book.moves.get(deed.done_record_id)
        return "To second grade" if move is None else f"To {place_words(move.place_id, season)}"
    if deed.carrying is not None and len(deed.carrying.lines) > 1:
        return "Swap"
    step = deed.line.next_step() if deed.line is not None else None
    if step is None or step.second_grade:
        return "To second grade"
    return f"To {place_words(step.to_place_id, season)}"


def clear_words(clearing: Clearing, season: Season) -> tuple[str, str]:
    """What is cleared, and why just that."""
    line, since = clearing.line, clearing.past_since
    place = place_words(line.from_place_id, season)
    said = f"{what_words(line, season, clearing.crates)} from {place}"
    if since is None:
        return said, "for no market day, and its room is needed"
    past = f"since {day_words(since, season)}" if since <= season.now() else "by this evening"
    return said, f"past {past}, and its room is needed"


def no_room_words(deed: DayTask, season: Season) -> str:
    """That a pinned move does not fit; empty for all that do."""
    if deed.carrying is None or deed.carrying.room:
        return ""
    place = place_words(deed.carrying.lines[0].next_step().to_place_id, season)
    return f"there is no room for it in {place}: clear something there, or leave it here"


def stay_words(staying: Staying, season: Season) -> str:
    """Why crates stay where they are."""
    line = staying.line
    until = "" if staying.until is None else day_words(staying.until, season)
    past = f"; past from {until}" if until else ""
    match staying.reason:
        case StayReason.MARKET:
            market = market_words(line.market_day_id, season)
            return f"for {market}: {_share(line.expected_ready_share)} ready"
        case StayReason.MOVES_LATER:
            place = place_words(line.next_step().to_place_id, season)
            why = ready_words(line, season)
            return f"to {place} {until}" + (f"; {why}" if why else "")
        case StayReason.SECOND_GRADE:
            return f"to second grade {until}"
        case StayReason.KEPT:
            by = market_words(staying.market_day_id, season)
            why = f"not ready by {by}; " if by else ""
            return f"{why}keeps for a later market day that you have not entered yet"
        case StayReason.HOPELESS:
            return "will never ripen: clear it when you like"
        case StayReason.PAST:
            since = f" since {until}" if until else ""
            return f"past{since}: use it up, or clear it when you like"
        case StayReason.NO_MARKET:
            return f"no market day ahead wants it{past}"
        case StayReason.NOT_READY:
            by = market_words(staying.market_day_id, season)
            return f"not ready by {by}, the last market day you entered{past}"
        case StayReason.TOO_LATE:
            return f"too soft before the next market day{past}"
        case StayReason.NO_BUYER:
            return f"for no market day{past}"


def _way(line: PlannedItinerary, season: Season) -> str:
    here, there = line.from_place_id, line.next_step().to_place_id
    what = what_words(line, season)
    return f"{what} from {place_words(here, season)} to {place_words(there, season)}"


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def check_words(check: CheckNext) -> str:
    """What a squeeze shows."""
    return {
        CheckReason.WHEN: "shows when to move them",
        CheckReason.WHERE: "shows which market day suits them",
        CheckReason.WHETHER: "shows whether they are worth bringing",
        CheckReason.GRADE: "shows whether they should go to second grade",
        CheckReason.PACE: "shows how fast this cultivar softens",
    }[check.reason]
