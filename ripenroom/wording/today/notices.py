"""Notices as plain sentences: what, when, and why, each forecast with its range."""

import math
from collections.abc import Mapping
from datetime import timedelta

from ripenroom.records.batch import FEELS
from ripenroom.records.wording import fruit_noun
from ripenroom.season.findings import Notice, NoticeKind, Supply
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import EndCause, Projection, Ranged
from ripenroom.texts import tr, tr_n
from ripenroom.window.market_words.want_words import verdict_words
from ripenroom.window.session import Session
from ripenroom.wording.names import begun, crop_name, end_cause_name, feel_names
from ripenroom.wording.today.crops import gate_name, gate_words, heat_words, place_name


def headline(notice: Notice, session: Session) -> str:
    """What to do or to know, in a few words: the part of the sentence that is followed."""
    fruit, market = _fruit(notice, session), _market(notice, session)
    crop = _crop(notice, session)
    when = "" if notice.when_h is None else _when(notice.when_h, session)
    texts: Mapping[NoticeKind, str] = {
        NoticeKind.FROST: tr("{fruit} will freeze {when}"),
        NoticeKind.PAST: tr("Use up or throw away {fruit}"),
        NoticeKind.CLOSES: (
            tr("Sell today: {fruit}")
            if _is_today(notice.when_h, session)
            else tr("Sell by {when}: {fruit}")
        ),
        NoticeKind.CHILLING: tr("Bring into the warm by {when}: {fruit}"),
        NoticeKind.PULL: tr("Move {when}: {fruit}"),
        NoticeKind.SHORTAGE: tr("Too few {crop} for {market}"),
        NoticeKind.GLUT: tr("Too many {crop} for {market}"),
        NoticeKind.OPENS: tr("Ready {when}: {fruit}"),
        NoticeKind.HEAT: tr("Too warm for {crop}: {place}"),
        NoticeKind.GATE: tr("Waits for {gate}: {fruit}"),
        NoticeKind.UNEVEN: tr("Ripens unevenly: {fruit}"),
        NoticeKind.WONT_RIPEN: tr("Won't ripen: {fruit}"),
    }
    return texts[notice.kind].format(
        fruit=fruit,
        market=market,
        crop=crop,
        when=when,
        place=place_name(notice, session),
        gate=gate_name(notice, session),
    )


def reason(notice: Notice, session: Session) -> str:
    """Why, with the numbers that the notice brought; what it did not bring is left out."""
    if notice.kind in (NoticeKind.SHORTAGE, NoticeKind.GLUT):
        return begun(_balance(notice, session))
    if notice.kind is NoticeKind.HEAT:
        return begun(heat_words(notice, session))
    parts = [_place(notice, session)]
    extra = {
        NoticeKind.FROST: _frost,
        NoticeKind.PAST: _past,
        NoticeKind.CLOSES: _closes,
        NoticeKind.CHILLING: _chilling,
        NoticeKind.PULL: _pull,
        NoticeKind.OPENS: _opens,
        NoticeKind.GATE: gate_words,
        NoticeKind.UNEVEN: _uneven,
        NoticeKind.WONT_RIPEN: _wont_ripen,
    }[notice.kind](notice, session)
    return begun("; ".join(part for part in [*parts, extra] if part))


def _is_today(hour: float | None, session: Session) -> bool:
    return hour is None or session.words.local(hour).date() <= session.season.now().date()


def _when(hour: float, session: Session) -> str:
    """``"today"``, ``"tomorrow"``, or the day."""
    day, today = session.words.local(hour).date(), session.season.now().date()
    if day == today:
        return tr("today")
    if day == today + timedelta(days=1):
        return tr("tomorrow")
    return session.words.day(hour)


def more(kind: NoticeKind, count: int) -> str:
    """What stands for ``count`` further notices of a kind."""
    text = {
        NoticeKind.FROST: tr_n("{n} more freeze", "{n} more freeze", count),
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


def _market(notice: Notice, session: Session) -> str:
    day = session.season.book.market_days.get(notice.market_day_id or "")
    if day is None:
        return ""
    return tr("{name}, {day}").format(name=day.name, day=session.words.day(day.starts_at))


def _crop(notice: Notice, session: Session) -> str:
    batch = session.season.book.batches.get(notice.batch_id or "")
    key = notice.crop or (batch.crop if batch else "")
    return fruit_noun(crop_name(session.season.crops, key))


def _fruit(notice: Notice, session: Session) -> str:
    """``"24 pawpaws, gives, P-0914-2"``."""
    season, projection = session.season, session.projection()
    batch = season.book.batches.get(notice.batch_id or "")
    if batch is None:
        return ""
    line = projection.line_of.get(batch.id)
    left = notice.values.get("left", None if line is None else float(projection.left[line]))
    name, felt = crop_name(season.crops, batch.crop), season.ask.last_felt(batch.id)
    parts = [fruit_noun(name)]
    if left is not None:
        parts = [f"{session.words.number(left)} {fruit_noun(name, left)}"]
    if felt is not None:
        parts.append(feel_names(season.crops.get(batch.crop))[FEELS.index(felt)])
    return ", ".join([*parts, batch.code])


def _place(notice: Notice, session: Session) -> str:
    """Where the batch of a notice is."""
    place = session.season.place_of(notice.batch_id) if notice.batch_id is not None else None
    return place.name if place is not None else ""


def _frost(notice: Notice, session: Session) -> str:
    season = session.season
    at_c = season.ask.freezing_c(notice.batch_id or "")
    return tr(
        "fruit freezes at {celsius}, and frozen fruit is lost. Make it warmer there, or move it"
    ).format(celsius=session.words.temperature(at_c))


def _past(notice: Notice, session: Session) -> str:
    if notice.when_h is None:
        return tr("past")
    projection = session.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is not None and projection.end_cause[line] == EndCause.FROST:
        return tr("frozen since {when}: it is lost").format(when=session.words.day(notice.when_h))
    return tr("past since {when}").format(when=session.words.day(notice.when_h))


def _closes(notice: Notice, session: Session) -> str:
    projection = session.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return ""
    return tr("{cause} after {range}").format(
        range=_days(projection.closes_h, line, session),
        cause=end_cause_name(EndCause(int(projection.end_cause[line]))),
    )


def _opens(notice: Notice, session: Session) -> str:
    projection = session.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return ""
    return tr("ready from {range}").format(range=_days(projection.opens_h, line, session))


def _days(moment: Ranged, line: int, session: Session) -> str:
    return session.words.day_range(float(moment.low[line]), float(moment.high[line]))


def _chilling(notice: Notice, session: Session) -> str:
    used = notice.values.get("used")
    if used is None:
        return tr("it has had nearly all the cold it can take")
    said = tr("it has had {used} of the cold it can take").format(used=session.words.share(used))
    projection = session.projection()
    line = projection.line_of.get(notice.batch_id or "")
    if line is None:
        return said
    low_h, high_h = chilling_out_range_h(projection, line)
    if math.isnan(low_h) or low_h == high_h:
        return said
    return tr("{used}, and all of it {range}: take it out of the cold before").format(
        used=said, range=session.words.day_range(low_h, high_h)
    )


def _pull(notice: Notice, session: Session) -> str:
    season = session.season
    at_h = notice.when_h
    moves = season.moves_of(notice.batch_id or "")
    target = next((move.place_id for move in moves if to_hours(move.at) == at_h), None)
    if target is None:
        return ""
    return tr("to {place}, {moment}").format(
        place=season.book.places[target].name, moment=session.words.moment(at_h or 0.0)
    )


def _uneven(notice: Notice, session: Session) -> str:
    return tr("never half of it is ready at one time. Sort it by feel")


def _wont_ripen(notice: Notice, session: Session) -> str:
    share = notice.values.get("wont_ripen")
    if share is None:
        return ""
    return tr("{share} of it was picked too hard or kept too cold").format(
        share=session.words.share(share)
    )


def _balance(notice: Notice, session: Session) -> str:
    values, words = notice.values, session.words
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
    said = tr("{wanted} wanted; {ready} ({range}) will be ready, {verdict}").format(
        wanted=words.number(supply.wanted),
        ready=words.number(supply.ready),
        range=words.number_range(supply.low, supply.high),
        verdict=_spare(supply, session) if glut else verdict_words(supply, words),
    )
    if not glut:
        return said
    advice = tr("Find another buyer, or keep some of it in the cold")
    return f"{said}. {advice}"


def _spare(supply: Supply, session: Session) -> str:
    """What stays unsold if the market buys all that it wants."""
    most = supply.high - supply.wanted
    if supply.low <= supply.wanted:
        return tr("up to {most} to spare").format(most=session.words.number(most))
    return tr("{range} to spare").format(
        range=session.words.number_range(supply.low - supply.wanted, most)
    )
