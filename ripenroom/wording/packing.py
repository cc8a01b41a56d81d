"""Packing for a market day in words: what to squeeze and pack of a crop, on screen and on paper."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ripenroom.texts import tr, tr_n
from ripenroom.wording.alike import alike_words
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import sentences
from ripenroom.wording.plan.itineraries import felt_words, market_words, place_words
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.packing import PackingOfCrop, PackLine


def up_to_words(crop: "PackingOfCrop", name: str, words: Formats) -> str:
    """How many to pack at most, and what for; or that enough are packed."""
    if crop.enough:
        return tr("{crop}: {packed} packed, {wanted} wanted: that is enough.").format(
            crop=name, packed=words.number(crop.packed), wanted=words.number(crop.wanted)
        )
    said = tr("{crop}: pack up to {most} that are good to sell. {wanted} are wanted.")
    if crop.bring > crop.wanted:
        said = tr(
            "{crop}: pack up to {most} that are good to sell. {wanted} are wanted, and {more} "
            "more may still sell."
        )
    return said.format(
        crop=name,
        most=words.number(crop.bring),
        wanted=words.number(crop.wanted),
        more=words.number(crop.bring - crop.wanted),
    )


def ready_words(crop: "PackingOfCrop") -> str:
    """What is good to sell to the buyers of that market day."""
    days = round(crop.eat_within_days)
    if not days:
        return tr("Good to sell: ready now, as these buyers eat it the same day.")
    return tr_n(
        "Good to sell: ready now or within {n} day, as these buyers keep it that long.",
        "Good to sell: ready now or within {n} days, as these buyers keep it that long.",
        days,
    )


def first_words(crop: "PackingOfCrop", words: Formats) -> str:
    """How far those that are opened first will go, and what the doubt about it is."""
    return tr(
        "Squeeze these {fruit} first. About {ready} of them ({low} to {high}) will be good to sell."
    ).format(
        fruit=words.number(sum(line.fruit for line in crop.take)),
        ready=words.number(crop.ready.mid),
        low=words.number(crop.ready.low),
        high=words.number(crop.ready.high),
    )


def to_pick_words(crop: "PackingOfCrop") -> str:
    """How many of those that are planned for it nobody has picked yet."""
    return tr_n(
        "{n} more is planned, still to be picked.",
        "{n} more are planned, still to be picked.",
        crop.to_pick,
    )


def wanted_words(crop: "PackingOfCrop", name: str, words: Formats) -> str:
    """All of that in one line: how many to pack, how many stand packed, what to squeeze first."""
    said = [up_to_words(crop, name, words)]
    if crop.packed and not crop.enough:
        said.append(tr("{packed} packed.").format(packed=words.number(crop.packed)))
    if crop.take or crop.open_next:
        said.append(ready_words(crop))
    if crop.take:
        said.append(first_words(crop, words))
    if crop.to_pick:
        said.append(to_pick_words(crop))
    return " ".join(said)


def line_words(line: "PackLine", order: int, apart: bool, reader: Reader) -> str:
    """What to look for in a line: ``"1. 15 pawpaws, gives"``, and beneath it the code and where it
    stands. Crates that the plan moves before say so, and with ``apart``, where other crates of the
    batch stand in a line of their own, what they are for if they stay."""
    season = reader.season
    batch = season.book.batches[line.batch_id]
    fruit = felt_words(batch.crop, line.fruit, season.ask.last_felt(batch.id), reader)
    what = tr("{order}. {fruit}").format(order=order, fruit=fruit)
    where = [batch.code, place_words(line.place_id, reader)]
    if line.moved_to_id is not None:
        where.append(
            tr("once moved to {place}").format(place=place_words(line.moved_to_id, reader))
        )
    elif apart:
        where.append(_otherwise(line, reader))
    return f"{what}\n{', '.join(where)}"


def _otherwise(line: "PackLine", reader: Reader) -> str:
    """What crates are for if they are not opened; the plan's own are for this market day."""
    if line.planned:
        return tr("as planned")
    if line.second_grade_at is not None:
        day = reader.words.day(line.second_grade_at)
        return tr("otherwise to second grade {day}").format(day=day)
    if line.kept:
        return tr("otherwise kept for later")
    if line.later_day_id is not None:
        return tr("otherwise for {market}").format(market=market_words(line.later_day_id, reader))
    return tr("stays there until then")


def next_words(crop: "PackingOfCrop") -> str:
    """When what comes after it is opened."""
    if not crop.take and crop.packed:
        return tr("Open next, in this order:")
    if not crop.take:
        return tr("Nothing is planned for it. Open in this order:")
    return tr("If too few are good to sell, open next, in this order:")


def leave_words(left: "Sequence[PackLine]", reader: Reader) -> str:
    """What stays at home, by the market day that it is for, or what else becomes of it; empty if
    nothing does."""
    if not left:
        return ""
    parts = []
    for heading, own in _by_what_it_is_for(left, reader).items():
        fruit = alike_words([(line.batch_id, line.fruit) for line in own], reader)
        parts.append(tr("{what_for}: {fruit}").format(what_for=heading, fruit=fruit))
    return tr("Leave at home: {batches}.").format(batches=sentences(parts))


def _by_what_it_is_for(left: "Sequence[PackLine]", reader: Reader) -> "dict[str, list[PackLine]]":
    """Lines under what they are for: market days in their order, second grade, then the rest."""
    market_days, words = reader.season.book.market_days, reader.words

    def order(line: "PackLine") -> tuple[int, float]:
        if line.later_day_id is not None:
            return 0, market_days[line.later_day_id].starts_at.timestamp()
        if line.second_grade_at is not None:
            return 1, line.second_grade_at.timestamp()
        return (2 if line.kept else 3), 0.0

    found: dict[str, list[PackLine]] = {}
    for line in sorted(left, key=order):
        if line.later_day_id is not None:
            day = market_days[line.later_day_id]
            said = tr("for {market}, {day}").format(market=day.name, day=words.day(day.starts_at))
        elif line.second_grade_at is not None:
            said = tr("to second grade {day}").format(day=words.day(line.second_grade_at))
        else:
            said = tr("kept for later") if line.kept else tr("not worth opening now")
        found.setdefault(said, []).append(line)
    return found
