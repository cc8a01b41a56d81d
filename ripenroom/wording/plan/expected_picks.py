"""Expected picks in words, and those that are only likely."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.crop_names import within
from ripenroom.records.market import ExpectedPick
from ripenroom.texts import tr, tr_n
from ripenroom.wording.names import by_name, crop_name, feel_names, fruit_name
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import LikelyCrop, LikelyPick

_MOST_NAMED = 3
"""Of more cultivars than these the others are counted."""


def what_is_expected(pick: ExpectedPick, reader: Reader) -> str:
    """``"60 Late pawpaws on Sun 4 Oct, slight give"``; without a cultivar its crop is named."""
    season, words = reader.season, reader.words
    crop = season.crops.get(pick.crop)
    cultivar = season.book.cultivars.get(pick.cultivar_id or "")
    what, day = cultivar.name if cultivar else crop_name(season.crops, pick.crop), pick.on
    if pick.nothing_more:
        return tr("{what}: nothing more from {day} on").format(what=what, day=words.day(day))
    text = tr("{count} {what} on {day}").format(
        count=words.number(pick.count), what=what, day=words.day(day)
    )
    if crop is not None and crop.judged_by == "nothing":
        return text
    return f"{text}, {feel_names(crop)[FEELS.index(pick.feel)]}"


def expected_line(pick: ExpectedPick, reader: Reader) -> str:
    """All that is known of an expected pick, and whether it is over or written down already."""
    season = reader.season
    place = season.book.places.get(pick.place_id)
    if pick.nothing_more:
        holds = (pick.crop, pick.cultivar_id) in season.ask.ends_of_picks()
        over = tr("more has been picked since")
    else:
        holds = pick in season.ask.still_expected()
        over = tr("no longer expected")
    parts = [
        what_is_expected(pick, reader),
        place.name if place and not pick.nothing_more else "",
        "" if holds else over,
        pick.note,
    ]
    return " · ".join(part for part in parts if part)


def expected_picks(reader: Reader) -> list[ExpectedPick]:
    """All expected picks by day, then crop."""
    book = reader.season.book

    def order(pick: ExpectedPick) -> tuple[object, ...]:
        return pick.on, by_name(crop_name(reader.season.crops, pick.crop)), pick.id

    return sorted(book.expected_picks.values(), key=order)


def likely_ahead(reader: Reader) -> "list[LikelyPick]":
    """Picks that rows or the last picks make likely, by day."""
    found = reader.season.ask.likely_ahead()
    return sorted(found, key=lambda one: (one.pick.on, one.pick.crop))


def likely_line(likely: "LikelyPick", reader: Reader) -> str:
    """``"About 30 pawpaws (20–40) on Sat 3 Oct · likely, going by last picks"``."""
    count, pick = likely.count, likely.pick
    cultivar = reader.season.book.cultivars.get(pick.cultivar_id or "")
    text = (
        tr("About {count} {crop} ({range}) on {day} · likely, going by rows")
        if likely.from_rows
        else tr("About {count} {crop} ({range}) on {day} · likely, going by last picks")
    )
    text = text.format(
        count=reader.words.number(count.mid),
        range=reader.words.number_range(count.low, count.high),
        crop=cultivar.name if cultivar else fruit_name(reader.season.crops, pick.crop, count.mid),
        day=reader.words.day(pick.on),
    )
    return _counting_in(likely.not_begun, text, reader)


def likely_words(reader: Reader) -> list[str]:
    """``"about 190 more pawpaws (120–260) from Sat 3 Oct to Tue 20 Oct, going by your last
    4 picking days"``, of each crop that more of is likely."""
    return [_likely_of(reader, likely) for likely in reader.season.ask.likely_crops()]


def _likely_of(reader: Reader, likely: "LikelyCrop") -> str:
    words, count = reader.words, likely.count
    said = tr("about {count} more {crop} ({range}) from {first} to {last}")
    if likely.first == likely.last:
        said = tr("about {count} more {crop} ({range}) on {first}")
    said = said.format(
        count=words.number(count.mid),
        range=words.number_range(count.low, count.high),
        crop=fruit_name(reader.season.crops, likely.crop, count.mid),
        first=words.day(likely.first),
        last=words.day(likely.last),
    )
    said = tr("{picks}, {going_by}").format(picks=said, going_by=_goes_by(likely))
    return _counting_in(likely.not_begun, said, reader)


def _counting_in(not_begun: Sequence[str], picks: str, reader: Reader) -> str:
    """``"… (counting in Late, Wall, not picked yet)"``: what is likely, and which cultivars are
    in it of which nothing was picked so far."""
    if not not_begun:
        return picks
    cultivars = reader.season.book.cultivars
    named = ", ".join(cultivars[key].name for key in not_begun[:_MOST_NAMED])
    more = len(not_begun) - _MOST_NAMED
    if more > 0:
        named = tr("{named} and {more} more").format(named=named, more=more)
    return tr("{picks} (counting in {cultivars}, not picked yet)").format(
        picks=picks, cultivars=named
    )


def _goes_by(likely: "LikelyCrop") -> str:
    """What it goes by."""
    if likely.by_rows and likely.pick_days:
        return tr_n(
            "going by rows and your last picking day",
            "going by rows and your last {n} picking days",
            likely.pick_days,
        )
    if likely.by_rows:
        return tr("going by rows")
    return tr_n(
        "going by your only picking day; how many come later shows from the second on",
        "going by your last {n} picking days",
        likely.pick_days,
    )


def likely_to_come(reader: Reader) -> str:
    """``"Likely to come: about 190 more pawpaws (120–260) …"``: all that is likely, each with what
    it goes by; empty without any."""
    likely = likely_words(reader)
    return tr("Likely to come: {picks}").format(picks="; ".join(likely)) if likely else ""


def in_sight_words(reader: Reader) -> str:
    """``"No market day after Sat 5 Dec wants pawpaw: the plan keeps what will still be good for a
    later one."``; empty where more than one does, or nothing is there to be kept."""
    season, plan = reader.season, reader.plans.plan
    if plan is None:
        return ""
    said = []
    for sight in season.ask.short_sights(plan):
        named = ", ".join(within(crop_name(season.crops, crop)) for crop in sight.crops)
        if sight.last is None:
            text = tr("No market day ahead wants {crops}")
            lacks = text.format(crops=named)
        else:
            text = tr("No market day after {day} wants {crops}")
            lacks = text.format(day=reader.words.day(sight.last.starts_at), crops=named)
        does = (
            tr("{lacks}: the plan keeps what will still be good for a later one.")
            if season.ask.keeps_any(plan, sight.crops)
            else tr("{lacks}. If there is one, enter it on Market days.")
        )
        said.append(does.format(lacks=lacks))
    return " ".join(said)


def kept_words(reader: Reader) -> str:
    """``"Kept for later: about 120 fruit, not counted in what is sold."``; empty without any."""
    plan = reader.plans.plan
    if plan is None or plan.outcome.kept < 0.5:
        return ""
    return tr("Kept for later: about {count} fruit, not counted in what is sold.").format(
        count=reader.words.number(plan.outcome.kept)
    )


def reckoned_words(reader: Reader) -> str:
    """``"Likely to come: about 190 more pawpaws (120–260) …. The plan keeps room for them. …"``;
    empty without any."""
    likely = likely_to_come(reader)
    if not likely:
        return ""
    return f"{likely}. {how_to_change_likely()}."


def how_to_change_likely() -> str:
    """What likely picks are for, and where they are put right; without a full stop."""
    return tr("The plan keeps room for them. To change them: Picks, Expected picks (Ctrl+E)")
