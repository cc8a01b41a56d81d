"""Itineraries of a plan in words: which crates go where, when and why, what a delay costs; pins."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from ripenroom.records.batch import FEELS
from ripenroom.records.book import Book
from ripenroom.season.plans.decisions import Decision, Unpinnable, decision_of, unpinnable
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason, PlannedItinerary
from ripenroom.texts import tr, tr_n
from ripenroom.wording.names import begun, feel_names, fruit_name
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.plans.update import Delay, PlanChange


_AS_GOOD = 0.01
"""Shares that differ by less are the same to anyone's eyes."""


def crates_words(crates: int) -> str:
    """``"1 crate"``, ``"3 crates"``."""
    return tr_n("{n} crate", "{n} crates", crates)


def fruit_of(line: PlannedItinerary, reader: Reader) -> str:
    """What a line's crates hold: a batch's code, or the day of a pick that is only expected."""
    book = reader.season.book
    pick = book.expected_picks.get(line.expected_pick_id or "")
    if pick is not None:
        return tr("the pick expected {day}").format(day=reader.words.day(pick.on))
    batch = book.batches.get(line.batch_id)
    return batch.code if batch else ""


def crates_of(line: PlannedItinerary, reader: Reader) -> str:
    """``"2 crates of P-0914-2"``."""
    return tr("{crates} of {fruit}").format(
        crates=crates_words(line.crates), fruit=fruit_of(line, reader)
    )


def place_words(place_id: str | None, reader: Reader) -> str:
    """The name of a place; empty where it is gone."""
    place = reader.season.book.places.get(place_id or "")
    return place.name if place else ""


def market_words(market_day_id: str | None, reader: Reader) -> str:
    """``"Quayside market, Sat 3 Oct"``; empty where it is gone."""
    day = reader.season.book.market_days.get(market_day_id or "")
    if day is None:
        return ""
    return tr("{name}, {day}").format(name=day.name, day=reader.words.day(day.starts_at))


def day_words(moment: datetime, reader: Reader) -> str:
    """``"today"``, ``"tomorrow"``, or the day."""
    day, today = reader.words.local(moment).date(), reader.season.now().date()
    if day == today:
        return tr("today")
    if day == today + timedelta(days=1):
        return tr("tomorrow")
    return reader.words.day(day)


def by_words(moment: datetime, reader: Reader) -> str:
    """``"by 18:00"`` of today, ``"tomorrow by 18:00"``, or the day and time."""
    time = reader.words.time(moment)
    if reader.words.local(moment).date() == reader.season.now().date():
        return tr("by {time}").format(time=time)
    return tr("{day} by {time}").format(day=day_words(moment, reader), time=time)


def fruit_words(
    line: PlannedItinerary, reader: Reader, fruit: float | None = None, past: bool = False
) -> str:
    """``"30 pawpaws, gives"``: how many of what, and how they felt when last squeezed; ``fruit``
    of a line where it is not all of them. What is ``past`` feels so no more: ``"30 pawpaws"``."""
    season, book = reader.season, reader.season.book
    count = line.fruit if fruit is None else fruit
    of = book.batches.get(line.batch_id) or book.expected_picks.get(line.expected_pick_id or "")
    if of is None:
        return ""
    return felt_words(of.crop, count, None if past else season.ask.last_felt(of.id), reader)


def felt_words(crop: str, count: float, felt: str | None, reader: Reader) -> str:
    """``"30 pawpaws, gives"``: so many of a crop, and how they felt when they were last squeezed
    (None: they never were)."""
    crops = reader.season.crops
    noun = fruit_name(crops, crop, count)
    said = tr("{count} {crop}").format(count=reader.words.number(count), crop=noun)
    if felt is None:
        return said
    feel = feel_names(crops.get(crop))[FEELS.index(felt)]
    return tr("{fruit}, {feel}").format(fruit=said, feel=feel)


def what_words(
    line: PlannedItinerary, reader: Reader, crates: int | None = None, past: bool = False
) -> str:
    """``"30 pawpaws, gives: 2 crates of P-0914-2"``; ``crates`` of a line where not all; what is
    ``past`` without a feel."""
    count = line.crates if crates is None else crates
    fruit = fruit_words(line, reader, line.fruit * count / max(line.crates, 1), past)
    text = tr("{fruit}: {crates} of {code}")
    return text.format(fruit=fruit, crates=crates_words(count), code=fruit_of(line, reader))


def share_words(line: PlannedItinerary, reader: Reader) -> str:
    """``"for Quayside market, Sat 3 Oct: 78 % good to sell"``; empty without a market day."""
    market = market_words(line.market_day_id, reader)
    if not market:
        return ""
    return tr("for {market}: {share} good to sell").format(
        market=market, share=reader.words.share(line.expected_ready_share)
    )


def later_words(line: PlannedItinerary) -> str:
    """Why crates are moved that go to no market day; empty for all others."""
    if not line.kept:
        return ""
    return tr("it keeps there for a later market day")


def decided_words(line: PlannedItinerary, reader: Reader) -> str:
    """That crates go a way because their grower said so; empty where the plan chose it, and of
    packed ones, of which the sheet says that they are packed."""
    decision = decision_of(line, reader.season.moves_of(line.batch_id))
    if decision is None:
        return ""
    return {
        Decision.PACKED: "",
        Decision.PINNED: tr("pinned by you"),
        Decision.WRITTEN: tr("you entered this move"),
    }[decision]


def if_left_words(line: PlannedItinerary, left: "Delay | None", reader: Reader) -> str:
    """What is lost by not moving; empty where nothing is known of that."""
    if left is None:
        return ""
    words, share = reader.words, line.expected_ready_share
    later = share if left.later is None else left.later
    if min(later, left.never) > share - _AS_GOOD:
        return tr("as good here, but the room is needed")
    return tr("if left here {never}").format(never=words.share(left.never))


def change_words(change: "PlanChange", reader: Reader) -> str:
    """One change as a sentence: which crates, what was planned for them, what is now."""
    from ripenroom.season.plans.update import ChangeKind

    texts = {
        ChangeKind.NEW_BATCH: tr("{crates}, new: {now}."),
        ChangeKind.GONE: tr("{crates}: no longer there. Before: {before}."),
        ChangeKind.EARLIER: tr("{crates}: moved earlier, {when} instead of {when_before}, {now}."),
        ChangeKind.LATER: tr("{crates}: moved later, {when} instead of {when_before}, {now}."),
        ChangeKind.OTHER_PLACE: tr("{crates}: now {now}. Before: {before}."),
        ChangeKind.OTHER_MARKET: tr("{crates}: now {now}. Before: {before}."),
        ChangeKind.SOLD_NOW: tr("{crates}: now {now}. Before: for no market day."),
        ChangeKind.LEFT_OVER: tr("{crates}: now for no market day. Before: {before}."),
        ChangeKind.MORE: tr("{crates} more: {now}."),
        ChangeKind.FEWER: tr("{crates} fewer: {before}."),
    }
    now = _way(
        change.market_day_id_after, change.pull_at_after, change.place_id_after, reader,
        second_grade=change.second_grade,
    )  # fmt: skip
    before = _way(
        change.market_day_id_before, change.pull_at_before, change.place_id_before, reader
    )
    said = texts[change.kind].format(
        crates=_crates(change, reader),
        now=now,
        before=before,
        when=_when(change.pull_at_after, reader),
        when_before=_when(change.pull_at_before, reader),
    )
    return begun(said)


def _crates(change: "PlanChange", reader: Reader) -> str:
    """``"pawpaws, gives, 2 crates of P-0914-2"``."""
    season, book = reader.season, reader.season.book
    pick = book.expected_picks.get(change.expected_pick_id or "")
    batch = book.batches.get(change.batch_id)
    if pick is not None:
        of = tr("the pick expected {day}").format(day=reader.words.day(pick.on))
    elif batch is not None:
        of = batch.code
    else:
        of = tr("a batch that is gone")
    crates = tr("{crates} of {fruit}").format(crates=crates_words(change.crates), fruit=of)
    known = pick or batch
    if known is None:
        return crates
    felt = season.ask.last_felt(known.id)
    parts = [fruit_name(season.crops, known.crop)]
    parts += [feel_names(season.crops.get(known.crop))[FEELS.index(felt)]] if felt else []
    return ", ".join([*parts, crates])


def _when(moment: datetime | None, reader: Reader) -> str:
    """The day of a move; fruit without one stays."""
    if moment is None:
        return tr("not at all")
    return day_words(moment, reader)


def _way(
    market_day_id: str | None,
    pull_at: datetime | None,
    place_id: str | None,
    reader: Reader,
    second_grade: bool = False,
) -> str:
    """``"to Ripening room Fri 2 Oct, for Quayside market, Sat 3 Oct"``."""
    parts = []
    place = place_words(place_id, reader)
    if pull_at is not None and place:
        parts.append(tr("to {place} {day}").format(place=place, day=day_words(pull_at, reader)))
    market = market_words(market_day_id, reader)
    if market:
        parts.append(tr("for {market}").format(market=market))
    elif second_grade:
        parts.append(tr("for second grade"))
    if not parts:
        return tr("to stay and wait")
    return ", ".join(parts)


def why_not_pinned(line: PlannedItinerary, book: Book) -> str:
    """Why a planned line can be neither pinned as it is nor unpinned; empty if it can."""
    because = unpinnable(line, book)
    if because is None:
        return ""
    return {
        Unpinnable.EXPECTED: tr(
            "This pick is only expected; it can be pinned once you entered it."
        ),
        Unpinnable.PACKED: tr("These crates are packed; first untick that under Today."),
        Unpinnable.SECOND_GRADE: tr("Crates for second grade cannot be pinned."),
        Unpinnable.CLEARED: tr("Crates that are cleared away cannot be pinned."),
        Unpinnable.MOVES_TWICE: tr(
            "Crates that move twice can be pinned once the first move is made."
        ),
    }[because]


def broken_pin_words(broken: BrokenPin, book: Book) -> str:
    """Which batch, and why: ``"A pin of P-0914-2 cannot be kept: the place is gone."``."""
    batch = book.batches.get(book.pins[broken.pin_id].batch_id)
    return tr("A pin of {code} cannot be kept: {reason}.").format(
        code=batch.code if batch else "?", reason=broken_words(broken.reason)
    )


def broken_words(reason: BrokenPinReason) -> str:
    """Why a pin cannot be kept."""
    return {
        "batch gone": tr("the batch is gone"),
        "fewer crates": tr("it has fewer crates left"),
        "market over": tr("the market day is over"),
        "place gone": tr("the place is gone"),
        "pull over": tr("the time of the move is over"),
        "moved later": tr("a later move of it is already entered"),
        "pull after market": tr("the move comes after the market day"),
    }[reason.value]
