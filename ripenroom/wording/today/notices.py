"""Notices as plain sentences: what, when, and why, each forecast with its range."""

import math
from collections.abc import Mapping
from datetime import timedelta

from ripenroom.records.batch import FEELS
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import Notice, NoticeKind
from ripenroom.season.projection import EndCause, Projection, Ranged, Supply
from ripenroom.texts import tr, tr_n
from ripenroom.wording.batch_states_and_ends import end_words
from ripenroom.wording.crops import gate_name, gate_words, heat_words, place_name
from ripenroom.wording.likely_fruit import more_likely_words
from ripenroom.wording.market_days import verdict_words
from ripenroom.wording.names import begun, feel_names, fruit_name
from ripenroom.wording.plan.itineraries import crates_words
from ripenroom.wording.reader import Reader

SPOILING = (NoticeKind.FREEZING, NoticeKind.CHILLING)
"""What fruit is moved away from though no market day waits for it."""


def headline(notice: Notice, reader: Reader) -> str:
    """What to do or to know, in a few words: the part of the sentence that is followed."""
    fruit, market = _fruit(notice, reader), _market(notice, reader)
    crop = _crop(notice, reader)
    when = "" if notice.when_h is None else _when(notice.when_h, reader)
    texts: Mapping[NoticeKind, str] = {
        NoticeKind.FREEZING: tr("{fruit} will freeze {when}"),
        NoticeKind.PAST: tr("Use up or throw away {fruit}"),
        NoticeKind.CLOSES: (
            tr("Sell today: {fruit}")
            if _is_today(notice.when_h, reader)
            else tr("Sell by {when}: {fruit}")
        ),
        NoticeKind.CHILLING: (
            tr("Bring into the warm today: {fruit}")
            if _is_today(notice.when_h, reader)
            else tr("Bring into the warm by {when}: {fruit}")
        ),
        NoticeKind.PULL: tr("Move {when}: {fruit}"),
        NoticeKind.SHORTAGE: tr("Too few {crop} for {market}"),
        NoticeKind.GLUT: tr("Too many {crop} for {market}"),
        NoticeKind.OPENS: tr("Ready {when}: {fruit}"),
        NoticeKind.HEAT: tr("Too warm for {crop}: {place}"),
        NoticeKind.GATE: tr("Waits for {gate}: {fruit}"),
        NoticeKind.UNEVEN: tr("Ripens unevenly: {fruit}"),
        NoticeKind.WONT_RIPEN: tr("Won't ripen: {fruit}"),
        NoticeKind.MAY_NOT_RIPEN: tr("May not ripen: {fruit}"),
    }
    return texts[notice.kind].format(
        fruit=fruit,
        market=market,
        crop=crop,
        when=when,
        place=place_name(notice, reader),
        gate=gate_name(notice, reader),
    )


def reason(notice: Notice, reader: Reader) -> str:
    """Why, with the numbers that the notice brought; what it did not bring is left out."""
    if notice.kind in (NoticeKind.SHORTAGE, NoticeKind.GLUT):
        return begun(_balance(notice, reader))
    if notice.kind is NoticeKind.HEAT:
        return begun(heat_words(notice, reader))
    parts = [_place(notice, reader)]
    extra = {
        NoticeKind.FREEZING: _freezing,
        NoticeKind.PAST: _past,
        NoticeKind.CLOSES: _closes,
        NoticeKind.CHILLING: _chilling,
        NoticeKind.PULL: _pull,
        NoticeKind.OPENS: _opens,
        NoticeKind.GATE: gate_words,
        NoticeKind.UNEVEN: _uneven,
        NoticeKind.WONT_RIPEN: _wont_ripen,
        NoticeKind.MAY_NOT_RIPEN: _may_not_ripen,
    }[notice.kind](notice, reader)
    return begun("; ".join(part for part in [*parts, extra] if part))


def _is_today(hour: float | None, reader: Reader) -> bool:
    return hour is None or reader.words.local(hour).date() <= reader.season.now().date()


def _when(hour: float, reader: Reader) -> str:
    """``"today"``, ``"tomorrow"``, or the day."""
    day, today = reader.words.local(hour).date(), reader.season.now().date()
    if day == today:
        return tr("today")
    if day == today + timedelta(days=1):
        return tr("tomorrow")
    return reader.words.day(hour)


def more(kind: NoticeKind, count: int) -> str:
    """What stands for ``count`` further notices of a kind."""
    text = {
        NoticeKind.FREEZING: tr_n("{n} more freeze", "{n} more freeze", count),
        NoticeKind.PAST: tr_n(
            "{n} more to use up or throw away", "{n} more to use up or throw away", count
        ),
        NoticeKind.CLOSES: tr_n("{n} more to sell", "{n} more to sell", count),
        NoticeKind.CHILLING: tr_n(
            "{n} more to bring into the warm", "{n} more to bring into the warm", count
        ),
        NoticeKind.PULL: tr_n("{n} more to move", "{n} more to move", count),
        NoticeKind.HEAT: tr_n("{n} more too warm", "{n} more too warm", count),
        NoticeKind.GATE: tr_n("{n} more wait", "{n} more wait", count),
        NoticeKind.SHORTAGE: tr_n("{n} more with too few", "{n} more with too few", count),
        NoticeKind.GLUT: tr_n("{n} more with too many", "{n} more with too many", count),
        NoticeKind.OPENS: tr_n("{n} more get ready", "{n} more get ready", count),
        NoticeKind.UNEVEN: tr_n("{n} more ripen unevenly", "{n} more ripen unevenly", count),
        NoticeKind.WONT_RIPEN: tr_n("{n} more won't ripen", "{n} more won't ripen", count),
        NoticeKind.MAY_NOT_RIPEN: tr_n("{n} more may not ripen", "{n} more may not ripen", count),
    }
    return text[kind]


def chilling_out_range_h(projection: Projection, line: int) -> tuple[float, float]:
    """The 80 % range (h) of when a batch's chilling allowance is used up if it is not moved.

    Where something else closes the window first only the estimate is known.
    """
    if projection.end_cause[line] == EndCause.CHILLING:
        return float(projection.closes_h.low[line]), float(projection.closes_h.high[line])
    out_h = float(projection.chilling_out_h[line])
    return out_h, out_h


def link(notice: Notice) -> str:
    """Where the notice leads: ``"batch:<id>"``, ``"place:<id>"`` or ``"market:<id>"``."""
    if notice.batch_id is not None:
        return f"batch:{notice.batch_id}"
    if notice.place_id is not None:
        return f"place:{notice.place_id}"
    return f"market:{notice.market_day_id}" if notice.market_day_id is not None else "queue:"


def _market(notice: Notice, reader: Reader) -> str:
    day = reader.season.book.market_days.get(notice.market_day_id or "")
    if day is None:
        return ""
    return tr("{name}, {day}").format(name=day.name, day=reader.words.day(day.starts_at))


def _crop(notice: Notice, reader: Reader) -> str:
    batch = reader.season.book.batches.get(notice.batch_id or "")
    key = notice.crop or (batch.crop if batch else "")
    return fruit_name(reader.season.crops, key)


def _fruit(notice: Notice, reader: Reader) -> str:
    """``"24 pawpaws, gives, P-0914-2"``."""
    season, left = reader.season, _left(notice, reader)
    batch = season.book.batches.get(notice.batch_id or "")
    if batch is None:
        return ""
    crops, felt = season.crops, season.ask.last_felt(batch.id)
    if notice.kind is NoticeKind.PAST:  # it feels so no more
        felt = None
    parts = [fruit_name(crops, batch.crop)]
    if left is not None:
        parts = [f"{reader.words.number(left)} {fruit_name(crops, batch.crop, left)}"]
    if felt is not None:
        parts.append(feel_names(crops.get(batch.crop))[FEELS.index(felt)])
    return ", ".join([*parts, batch.code])


def _left(notice: Notice, reader: Reader) -> float | None:
    """How many fruit of its batch a notice is about; None where nobody knows."""
    projection = reader.projection()
    line = projection.line_of.get(notice.batch_id or "")
    return notice.values.get("left", None if line is None else float(projection.left[line]))


def _place(notice: Notice, reader: Reader) -> str:
    """Where the batch of a notice is; of fruit that the cold spoils, in how many crates too."""
    place = reader.season.place_of(notice.batch_id) if notice.batch_id is not None else None
    if place is None:
        return ""
    crates, left = 0, _left(notice, reader)
    if notice.kind in SPOILING and left is not None:
        crates = reader.season.ask.crates_holding(notice.batch_id or "", left)
    if not crates:
        return place.name
    return tr("{crates} in {place}").format(crates=crates_words(crates), place=place.name)


def _freezing(notice: Notice, reader: Reader) -> str:
    season = reader.season
    at_c = season.ask.freezing_c(notice.batch_id or "")
    return tr(
        "fruit freezes at {celsius}, and frozen fruit is lost. Make it warmer there, or move it"
    ).format(celsius=reader.words.temperature(at_c))


def _past(notice: Notice, reader: Reader) -> str:
    if notice.when_h is None:
        return tr("past")
    projection = reader.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is not None and projection.end_cause[line] == EndCause.FREEZING:
        return tr("frozen since {when}: it is lost").format(when=reader.words.day(notice.when_h))
    return tr("past since {when}").format(when=reader.words.day(notice.when_h))


def _closes(notice: Notice, reader: Reader) -> str:
    projection = reader.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return ""
    said = end_words(EndCause(int(projection.end_cause[line])))
    return said.format(day=_days(projection.closes_h, line, reader))


def _opens(notice: Notice, reader: Reader) -> str:
    projection = reader.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return ""
    return tr("ready from {range}").format(range=_days(projection.opens_h, line, reader))


def _days(moment: Ranged, line: int, reader: Reader) -> str:
    return reader.words.day_range(float(moment.low[line]), float(moment.high[line]))


def _chilling(notice: Notice, reader: Reader) -> str:
    used = notice.values.get("used")
    if used is None:
        return tr("it has had nearly all the cold it can take")
    said = tr("it has had {used} of the cold it can take").format(used=reader.words.share(used))
    projection = reader.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return said
    low_h, high_h = chilling_out_range_h(projection, line)
    if math.isnan(low_h) or low_h == high_h:
        return said
    if low_h <= projection.at_h:
        return tr(
            "{used}, perhaps all of it by now, else by {day}: take it out of the cold"
        ).format(used=said, day=reader.words.day(high_h))
    return tr("{used}, and all of it {range}: take it out of the cold before that").format(
        used=said, range=reader.words.day_range(low_h, high_h)
    )


def _pull(notice: Notice, reader: Reader) -> str:
    season = reader.season
    at_h = notice.when_h
    moves = season.moves_of(notice.batch_id or "")
    target = next((move.place_id for move in moves if to_hours(move.at) == at_h), None)
    if target is None:
        return ""
    return tr("to {place}, {moment}").format(
        place=season.book.places[target].name, moment=reader.words.moment(at_h or 0.0)
    )


def _uneven(notice: Notice, reader: Reader) -> str:
    return tr("never half of it is ready at once. Sort it by feel")


def _wont_ripen(notice: Notice, reader: Reader) -> str:
    share = notice.values.get("wont_ripen")
    if share is None:
        return ""
    return tr("{share} of it won’t ripen: picked too early, or kept too cold").format(
        share=reader.words.share(share)
    )


def _may_not_ripen(notice: Notice, reader: Reader) -> str:
    if notice.when_h is None:
        return tr("squeeze it again before you clear it")
    return tr("squeeze it again {day}").format(day=_when(notice.when_h, reader))


def _balance(notice: Notice, reader: Reader) -> str:
    values, words = notice.values, reader.words
    glut = notice.kind is NoticeKind.GLUT
    if not {"wanted", "ready", "low", "high"} <= values.keys():
        return ""
    supply = Supply(
        notice.market_day_id or "",
        notice.crop or "",
        round(values["wanted"]),
        values["ready"],
        values["low"],
        values["high"],
    )
    said = tr("{wanted} wanted; {ready} will be good to sell, {verdict}").format(
        wanted=words.number(supply.wanted),
        ready=words.number_within(supply.ready, supply.low, supply.high),
        verdict=_spare(supply, reader) if glut else verdict_words(supply, words),
    )
    if not glut:
        likely = more_likely_words(values.get("likely", 0.0), words)
        return f"{said}; {likely}" if likely else said
    advice = tr("Find another buyer, or keep some of it in the cold")
    return f"{said}. {advice}"


def _spare(supply: Supply, reader: Reader) -> str:
    """What stays unsold if the market buys all that it wants."""
    most = supply.high - supply.wanted
    if supply.low <= supply.wanted:
        return tr("up to {most} to spare").format(most=reader.words.number(most))
    return tr("{range} to spare").format(
        range=reader.words.number_range(supply.low - supply.wanted, most)
    )
