"""Short English sentences of the day sheet, for those who read it without the window."""

from collections.abc import Sequence
from datetime import datetime

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
    return f"{pick.crop} still to be picked" if pick is not None else ""


def place_words(place_id: str | None, season: Season) -> str:
    """The name of a place; empty without one."""
    place = season.book.places.get(place_id or "")
    return place.name if place is not None else ""


def market_words(market_day_id: str | None, season: Season) -> str:
    """``"Quayside market, Sat 3 Oct"``; empty without one."""
    day = season.book.market_days.get(market_day_id or "")
    return "" if day is None else f"{day.name}, {day_words(day.starts_at, season)}"


def ready_words(line: PlannedItinerary, season: Season) -> str:
    """``"for Quayside market, Sat 3 Oct: 78 % ready then"``; empty without a market day."""
    market = market_words(line.market_day_id, season)
    if market:
        return f"for {market}: {_share(line.expected_ready_share)} ready then"
    return "there it keeps for a later market day" if line.kept else ""


def if_left_words(line: PlannedItinerary, left: Delay | None) -> str:
    """What is lost by moving later, or not at all; empty where nothing is known of that."""
    if left is None:
        return ""
    later = line.expected_ready_share if left.later is None else left.later
    least = line.expected_ready_share - _AS_GOOD
    if min(later, left.never) > least:
        return "it would do as well where it is: its room is needed"
    moved = f"moved a day later {_share(later)}, " if later < least else ""
    return f"{moved}left where it is {_share(left.never)}"


def move_words(lines: Sequence[PlannedItinerary], season: Season) -> str:
    """What is moved from where to where; several lines are swapped."""
    if lines[0].next_step().second_grade:
        return f"Take {_crates(lines[0], season)} for second grade"
    if len(lines) == 1:
        return f"Move {_way(lines[0], season)}"
    ends = [(line.from_place_id, line.next_step().to_place_id) for line in lines]
    here, there = ends[0]
    if set(ends) <= {(here, there), (there, here)}:
        these, those = (
            ", ".join(_crates(line, season) for line in lines if line.from_place_id == place)
            for place in (here, there)
        )
        between = f"{place_words(here, season)} and {place_words(there, season)}"
        return f"Swap {these} and {those} between {between}"
    return f"Swap round {', '.join(_way(line, season) for line in lines)}"


def clear_words(clearing: Clearing, season: Season) -> tuple[str, str]:
    """What is cleared, and why just that."""
    line, since = clearing.line, clearing.past_since
    place = place_words(line.from_place_id, season)
    said = f"Clear {crates_words(clearing.crates)} of {fruit_words(line, season)} from {place}"
    if since is None:
        return said, "no market day takes it, and its room is needed for what sells better"
    past = f"since {day_words(since, season)}" if since <= season.now() else "by this evening"
    return said, f"past {past}, and its room is needed tonight"


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
            return f"waits for {market}: {_share(line.expected_ready_share)} ready then"
        case StayReason.MOVES_LATER:
            place = place_words(line.next_step().to_place_id, season)
            why = ready_words(line, season)
            return f"stays until {until}, then goes to {place}" + (f"; {why}" if why else "")
        case StayReason.SECOND_GRADE:
            return f"goes for second grade {until}"
        case StayReason.KEPT:
            by = market_words(staying.market_day_id, season)
            why = f"not ready by {by}; " if by else ""
            return f"{why}stays good for a later market day, still to be entered"
        case StayReason.HOPELESS:
            return "will never ripen: clear it when you like"
        case StayReason.PAST:
            since = f" since {until}" if until else ""
            return f"past{since}: use it up, or clear it when you like"
        case StayReason.NO_MARKET:
            return f"no market day ahead wants it{past}"
        case StayReason.NOT_READY:
            by = market_words(staying.market_day_id, season)
            return f"not ready by {by}, the last market day entered{past}"
        case StayReason.TOO_LATE:
            return f"does not stay good until the next market day{past}"
        case StayReason.NO_BUYER:
            return f"planned for no market day{past}"


def _way(line: PlannedItinerary, season: Season) -> str:
    here, there = line.from_place_id, line.next_step().to_place_id
    return (
        f"{_crates(line, season)} from {place_words(here, season)} to {place_words(there, season)}"
    )


def _crates(line: PlannedItinerary, season: Season) -> str:
    return f"{crates_words(line.crates)} of {fruit_words(line, season)}"


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def check_words(check: CheckNext) -> str:
    """What a squeeze decides, or tells."""
    does = "tells" if check.reason is CheckReason.PACE else "decides"
    return f"it {does} {check.reason}"
