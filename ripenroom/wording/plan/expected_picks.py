"""Expected picks in words, and those that are only likely."""

from typing import TYPE_CHECKING, Literal

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.crop_names import within
from ripenroom.records.market import ExpectedPick
from ripenroom.texts import tr
from ripenroom.wording.names import by_name, crop_name, feel_names, fruit_name
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import LikelyCrop, LikelyPick


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
    return text.format(
        count=reader.words.number(count.mid),
        range=reader.words.number_range(count.low, count.high),
        crop=cultivar.name if cultivar else fruit_name(reader.season.crops, pick.crop, count.mid),
        day=reader.words.day(pick.on),
    )


def likely_words(reader: Reader) -> list[str]:
    """``"about 190 more pawpaws (120–260) are likely from Sat 3 Oct to Tue 20 Oct"``, of each crop
    that more of is likely."""
    return [_likely_of(reader, likely) for likely in reader.season.ask.likely_crops()]


def _likely_of(reader: Reader, likely: "LikelyCrop") -> str:
    words, count = reader.words, likely.count
    said = {
        "count": words.number(count.mid),
        "range": words.number_range(count.low, count.high),
        "crop": fruit_name(reader.season.crops, likely.crop, count.mid),
        "first": words.day(likely.first),
        "last": words.day(likely.last),
    }
    if likely.first == likely.last:
        return tr("about {count} more {crop} ({range}) are likely on {first}").format(**said)
    return tr("about {count} more {crop} ({range}) are likely from {first} to {last}").format(
        **said
    )


def going_by_words(reader: Reader) -> str:
    """``"Going by last picks, about 190 more pawpaws (120–260) are likely from Sat 3 Oct to Tue 20
    Oct"``: by what it goes, and all that is likely; empty without any."""
    text = {
        "rows": tr("Going by rows, {picks}"),
        "picks": tr("Going by last picks, {picks}"),
        "both": tr("Going by rows and last picks, {picks}"),
    }
    likely = likely_words(reader)
    return text[_goes_by(reader)].format(picks="; ".join(likely)) if likely else ""


def likely_title(reader: Reader) -> str:
    """``"Likely, going by last picks"``, above what is likely."""
    return {
        "rows": tr("Likely, going by rows"),
        "picks": tr("Likely, going by last picks"),
        "both": tr("Likely, going by rows and last picks"),
    }[_goes_by(reader)]


def _goes_by(reader: Reader) -> Literal["rows", "picks", "both"]:
    by_rows = {one.from_rows for one in reader.season.ask.likely_ahead()}
    return "both" if len(by_rows) > 1 else "rows" if True in by_rows else "picks"


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
    """``"Going by last picks, about 190 more pawpaws (120–260) are likely from Sat 3 Oct to Tue 20
    Oct. …"``; empty without any."""
    likely = going_by_words(reader)
    if not likely:
        return ""
    return tr(
        "{likely}. The plan keeps room for them. To change them: Picks, Expected picks (Ctrl+E)."
    ).format(likely=likely)
