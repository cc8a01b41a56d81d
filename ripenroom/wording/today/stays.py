"""Why crates stay where they are, are cleared away or swapped for want of room, in words."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from ripenroom.season.day_sheet import (
    Carrying,
    DayTask,
    DayTaskKind,
    Staying,
    StayReason,
)
from ripenroom.season.plans.plan import as_one
from ripenroom.season.projection import EndCause
from ripenroom.texts import tr
from ripenroom.wording.batch_states_and_ends import end_cause_name
from ripenroom.wording.names import begun, sentences
from ripenroom.wording.plan.itineraries import (
    by_words,
    crates_words,
    day_words,
    decided_words,
    fruit_of,
    later_words,
    market_words,
    place_words,
    share_words,
    what_words,
)
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.items import Item, ItemGroup

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


_MOST_IN_A_PLACE = 40
"""Lines of one place; of what is more only the number is told."""


def stays_by_place(stays: Sequence[Staying], reader: Reader) -> tuple[ItemGroup, ...]:
    """What stays, under the names of the places where it does."""
    places: dict[str, list[Staying]] = {}
    for staying in stays:
        places.setdefault(staying.line.from_place_id, []).append(staying)
    return tuple(
        ItemGroup(place_words(place_id, reader), _items(own, reader), to_do=False)
        for place_id, own in places.items()
    )


def _items(stays: Sequence[Staying], reader: Reader) -> tuple[Item, ...]:
    by_batch: dict[str, list[Staying]] = {}
    for staying in stays:
        by_batch.setdefault(staying.line.batch_id, []).append(staying)
    batches = list(by_batch.values())
    # One line more takes no more room than the line that would stand for it.
    told = batches if len(batches) <= _MOST_IN_A_PLACE + 1 else batches[:_MOST_IN_A_PLACE]
    items = [stay_item(own, reader) for own in told]
    if len(told) < len(batches):
        more = [staying.crates for own in batches[len(told) :] for staying in own]
        crates = crates_words(sum(more))
        text = tr("{crates} more").format(crates=crates)
        items.append(Item(text, "", "queue:"))
    return tuple(items)


def stay_item(stays: Sequence[Staying], reader: Reader) -> Item:
    """``"30 pawpaws, hard: 3 crates of P-0914-2"``, and what they wait for, or why for nothing.

    All of ``stays`` are of one batch in one place.
    """
    line = as_one([staying.line for staying in stays])
    crates, past = sum(staying.crates for staying in stays), _all_past(stays)
    headline = what_words(line, reader, crates, past)
    why = together([(staying.crates, why_stays(staying, reader)) for staying in stays])
    return Item(headline, why, f"batch:{line.batch_id}")


def _all_past(stays: Sequence[Staying]) -> bool:
    return all(staying.reason is StayReason.PAST for staying in stays)


def why_stays(staying: Staying, reader: Reader) -> str:
    """What crates of a line wait for, or why for nothing."""
    said = _WORDS[staying.reason](staying, reader)
    if staying.reason not in (StayReason.MARKET, StayReason.MOVES_LATER):
        return said
    by_whom = decided_words(staying.line, reader)
    return f"{said}; {by_whom}" if by_whom else said


def together(reasons: Sequence[tuple[int, str]]) -> str:
    """Reasons for so many crates of one batch each: the reason that all have, or a sentence for
    each: ``"For the market: 78 % good to sell (1 crate). For the shop: 61 % good to
    sell (2 crates)"``."""
    crates: dict[str, int] = {}
    for count, reason in reasons:
        crates[reason] = crates.get(reason, 0) + count
    if len(crates) == 1:
        return next(iter(crates))
    return sentences(
        tr("{reason} ({crates})").format(reason=reason, crates=crates_words(count))
        for reason, count in crates.items()
        if reason
    )


def _market(staying: Staying, reader: Reader) -> str:
    return tr("For {market}: {share} good to sell").format(
        market=market_words(staying.line.market_day_id, reader),
        share=reader.words.share(staying.line.expected_ready_share),
    )


def _moves_later(staying: Staying, reader: Reader) -> str:
    assert staying.until is not None
    step = staying.line.next_step()
    said = tr("To {place} {day}").format(
        day=day_words(staying.until, reader), place=place_words(step.to_place_id, reader)
    )
    why = share_words(staying.line, reader)
    return f"{said}; {why}" if why else said


def _second_grade(staying: Staying, reader: Reader) -> str:
    assert staying.until is not None
    return tr("To second grade {day}").format(day=day_words(staying.until, reader))


def _kept(staying: Staying, reader: Reader) -> str:
    if staying.market_day_id is None:
        return tr("Keeps for a later market day that you have not entered yet")
    return tr(
        "Not ready by {market}; keeps for a later market day that you have not entered yet"
    ).format(market=market_words(staying.market_day_id, reader))


def _hopeless(staying: Staying, reader: Reader) -> str:
    return tr("Will never ripen: clear it when you like")


def _may_not_ripen(staying: Staying, reader: Reader) -> str:
    if staying.until is None:
        return tr("May not ripen: squeeze it again before you clear it")
    return tr("May not ripen: squeeze it again {day}").format(day=day_words(staying.until, reader))


def _past(staying: Staying, reader: Reader) -> str:
    if staying.until is None:
        return tr("Past: use it up, or clear it when you like")
    return tr("Past since {day}: use it up, or clear it when you like").format(
        day=reader.words.day(staying.until)
    )


def _no_market(staying: Staying, reader: Reader) -> str:
    said = tr("No market day ahead wants it")
    return _with_its_end(said, staying, reader)


def _not_ready(staying: Staying, reader: Reader) -> str:
    said = tr("Not ready by {market}, the last market day you entered").format(
        market=market_words(staying.market_day_id, reader)
    )
    return _with_its_end(said, staying, reader)


def _too_late(staying: Staying, reader: Reader) -> str:
    why = _end_of(staying, reader)
    if staying.until is not None:
        why = tr("{why} from {day}").format(why=why, day=day_words(staying.until, reader))
    return begun(tr("{why}, before the next market day").format(why=why))


def _no_buyer(staying: Staying, reader: Reader) -> str:
    said = tr("For no market day")
    return _with_its_end(said, staying, reader)


def _with_its_end(said: str, staying: Staying, reader: Reader) -> str:
    if staying.until is None:
        return said
    end = tr("{why} from {day}").format(
        why=_end_of(staying, reader), day=day_words(staying.until, reader)
    )
    return f"{said}; {end}"


def _end_of(staying: Staying, reader: Reader) -> str:
    """What ends fruit where it stands, as the pages of its batch say it."""
    projection = reader.projection()
    line = projection.line_of.get(staying.line.batch_id)
    cause = EndCause.TOO_SOFT if line is None else EndCause(int(projection.end_cause[line]))
    return end_cause_name(cause)


_WORDS: Mapping[StayReason, Callable[[Staying, Reader], str]] = {
    StayReason.MARKET: _market,
    StayReason.MOVES_LATER: _moves_later,
    StayReason.SECOND_GRADE: _second_grade,
    StayReason.KEPT: _kept,
    StayReason.HOPELESS: _hopeless,
    StayReason.MAY_NOT_RIPEN: _may_not_ripen,
    StayReason.PAST: _past,
    StayReason.NO_MARKET: _no_market,
    StayReason.NOT_READY: _not_ready,
    StayReason.TOO_LATE: _too_late,
    StayReason.NO_BUYER: _no_buyer,
}


def clear_item(task: DayTask, reader: Reader) -> Item:
    """``"12 pawpaws, soft: 2 crates of P-0914-2 from Cool shelf"``, and why just these."""
    clearing = task.clearing
    assert clearing is not None
    line, since = clearing.line, clearing.past_since
    is_past = task.kind is DayTaskKind.PAST
    is_past |= since is not None and since <= reader.season.now()
    if task.kind is DayTaskKind.PAST:
        why = tr("Past: use it up or clear it")
        if since is not None:
            why = tr("Past since {day}: use it up or clear it")
            why = why.format(day=reader.words.day(since))
    elif clearing.rest:
        why = tr("Too few to be worth moving, and their room is needed")
    elif since is None:
        why = tr(
            "No room left anywhere, and no market day takes it before it is too soft; its room is "
            "needed"
        )
    elif since <= reader.season.now():
        why = tr("Past since {day}, and its room is needed")
        why = why.format(day=reader.words.day(since))
    else:
        why = tr("Past by this evening, and its room is needed")
    headline = tr("{what} from {place}").format(
        what=what_words(line, reader, clearing.crates, is_past),
        place=place_words(line.from_place_id, reader),
    )
    spoken = tr("Clear {headline}").format(headline=headline)
    return Item(headline, why, f"batch:{line.batch_id}", spoken=spoken)


def swap_item(lines: "Sequence[PlannedItinerary]", reader: Reader) -> Item:
    """``"Swap 20 pawpaws, gives: 1 crate of A and … between Cold room and Cool shelf"``."""
    ways = [(one.from_place_id, one.next_step().to_place_id) for one in lines]
    here, there = ways[0]
    if set(ways) <= {(here, there), (there, here)}:
        headline = tr("Swap {these} and {those} between {here} and {there}").format(
            these=_all_of([one for one in lines if one.from_place_id == here], reader),
            those=_all_of([one for one in lines if one.from_place_id == there], reader),
            here=place_words(here, reader),
            there=place_words(there, reader),
        )
    else:
        turns = [
            tr("{crates} from {here} to {there}").format(
                crates=what_words(one, reader),
                here=place_words(one.from_place_id, reader),
                there=place_words(one.next_step().to_place_id, reader),
            )
            for one in lines
        ]
        headline = tr("Swap round {turns}").format(turns=", ".join(turns))
    at = lines[0].next_step().pull_at
    told = [
        tr("{fruit} {why}").format(fruit=fruit_of(one, reader), why=goes_for(one, reader))
        for one in lines
        if goes_for(one, reader) and not one.kept
    ]
    parts = [
        by_words(at, reader) if at is not None else "",
        tr("both rooms are full: carry all of it out before any goes in"),
        *told,
    ]
    batch_id = next((one.batch_id for one in lines if one.batch_id), "")
    return Item(headline, begun("; ".join(part for part in parts if part)), f"batch:{batch_id}")


def goes_for(line: "PlannedItinerary", reader: Reader) -> str:
    """What crates are moved for: their market day, a later one, or none yet."""
    if line.market_day_id is None and not (line.kept or line.second_grade or line.pin_id):
        return tr("for no market day yet")
    return share_words(line, reader) or later_words(line)


def _all_of(lines: "Sequence[PlannedItinerary]", reader: Reader) -> str:
    alike: dict[str, list[PlannedItinerary]] = {}
    for one in lines:
        # Fruit that is still to be picked has no batch: each pick is its own.
        alike.setdefault(one.batch_id or f"pick {one.expected_pick_id}", []).append(one)
    return ", ".join(what_words(as_one(own), reader) for own in alike.values())


def no_room_words(carrying: Carrying | None, reader: Reader) -> str:
    """That a pinned move does not fit; empty for all that do."""
    if carrying is None or carrying.room:
        return ""
    place = place_words(carrying.lines[0].next_step().to_place_id, reader)
    return tr("no room for it ({place}): clear something there, or leave it here").format(
        place=place
    )
