"""Advice on set points, and what would help, in plain sentences."""

from typing import TYPE_CHECKING

from ripenroom.records.crop.crop_names import within
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name, fruit_name
from ripenroom.wording.plan.itineraries import crates_words, market_words, place_words
from ripenroom.wording.plan.worth import MINUS, money_about
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import Help, PlaceAdvice, SetPointAdvice


_TO_SPEAK_OF = 0.005
"""A gain of less than this part of the plan's worth is none that anyone would notice."""


def gain_words(advice: "SetPointAdvice", reader: Reader) -> str:
    """What all of the advice brings, or that nothing is gained."""
    if not advice.places:
        return tr(
            "No advice yet: it needs fruit, a market day ahead and a place with a thermostat."
        )
    where = place_words(advice.places[0].place_id, reader)
    if advice.pair is not None:
        where = tr("{cold} and {ripening}").format(
            cold=place_words(advice.pair.cold_id, reader),
            ripening=place_words(advice.pair.ripening_id, reader),
        )
    if advice.gain_minor <= _TO_SPEAK_OF * advice.value_minor:
        return tr("{where}: other temperatures would hardly bring more.").format(where=where)
    return tr("{where}: set as advised, the plan is worth about {money} more.").format(
        where=where, money=money_about(advice.gain_minor, reader.words)
    )


def set_point_words(advice: "PlaceAdvice", reader: Reader) -> str:
    """``"Cold room: 4.0 °C is fine. Anything from 3.0 °C to 5.0 °C does as well. A step …"``."""
    words = reader.words
    place = place_words(advice.place_id, reader)
    if advice.fine_as_it_is:
        said = tr("{place}: {today} is fine.")
    else:
        said = tr("{place}: set it to {advised}; it is at {today}.")
    parts = [
        said.format(
            place=place,
            today=words.set_point(advice.today_c),
            advised=words.set_point(advice.advised_c),
        )
    ]
    if advice.flat_low_c < advice.flat_high_c:
        parts.append(
            tr("Anything from {low} to {high} does as well.").format(
                low=words.set_point(advice.flat_low_c), high=words.set_point(advice.flat_high_c)
            )
        )
    for loses, text in (
        (
            advice.colder_loses_minor,
            tr("A step colder loses about {money}."),
        ),
        (
            advice.warmer_loses_minor,
            tr("A step warmer loses about {money}."),
        ),
    ):
        if loses is not None:
            parts.append(text.format(money=money_about(loses, words)))
    parts += _limits(advice, reader)
    return " ".join(parts)


def _limits(advice: "PlaceAdvice", reader: Reader) -> list[str]:
    """Where it is the crops that end the flat part, and not the plan."""
    words, crops = reader.words, reader.season.crops
    found = []
    steps = advice.curve.set_points_c
    if advice.colder_loses_minor is None and steps[0] < advice.lowest_c and advice.lowest_crop:
        found.append(
            tr("Below {limit} is too cold for {crop}.").format(
                limit=words.set_point(advice.lowest_c),
                crop=within(crop_name(crops, advice.lowest_crop)),
            )
        )
    if advice.warmer_loses_minor is None and steps[-1] > advice.highest_c and advice.highest_crop:
        found.append(
            tr("Above {limit} is too warm for {crop}.").format(
                limit=words.set_point(advice.highest_c),
                crop=within(crop_name(crops, advice.highest_crop)),
            )
        )
    return found


def worth_today(advice: "PlaceAdvice") -> float:
    """What plans at today's settings come to, which those of a curve are held to."""
    curve = advice.as_it_is
    pairs = zip(curve.set_points_c, curve.value_minor, strict=True)
    return min(pairs, key=lambda pair: abs(pair[0] - advice.today_c))[1]


def gain_about(minor: float, words: Formats) -> str:
    """``"+ €7"``, ``"− €10"``, or ``"€0"``: how much more or less than today, about."""
    money = money_about(abs(minor), words)
    if money == money_about(0.0, words):
        return money
    return f"{'+' if minor > 0.0 else MINUS} {money}"


def _than_today(minor: float, words: Formats) -> str:
    money = money_about(abs(minor), words)
    if money == money_about(0.0, words):
        return tr("as much as today")
    said = tr("about {money} more than today")
    if minor < 0.0:
        said = tr("about {money} less than today")
    return said.format(money=money)


def curve_words(advice: "PlaceAdvice", reader: Reader) -> str:
    """The curve for those who cannot see it."""
    words, curve, today_minor = reader.words, advice.curve, worth_today(advice)
    pairs = zip(curve.set_points_c, curve.value_minor, curve.sold_share, strict=True)
    said = [
        tr("{at}: {gain}, {sold} sold in time").format(
            at=words.set_point(celsius),
            gain=_than_today(value - today_minor, words),
            sold=words.share(sold),
        )
        for celsius, value, sold in pairs
    ]
    if (
        curve.other_c != advice.as_it_is.other_c
    ):  # else today's setting would seem to gain by itself
        said.append(tr("all of it with the other room set as advised"))
    return "; ".join(said)


def help_words(help_: "Help", reader: Reader) -> str:
    """One thing that would help and what it would bring."""
    from ripenroom.season.advice.advice import HelpKind

    words, crops = reader.words, reader.season.crops
    crop = within(crop_name(crops, help_.crop)) if help_.crop else ""
    wanted = fruit_name(crops, help_.crop, help_.amount) if help_.crop else ""
    until = words.day(help_.until) if help_.until is not None else ""
    what = {
        HelpKind.ROOM: tr("{place}: room for {crates} more"),
        HelpKind.MARKET_DAY: tr("One more market day on {day}, like {like}"),
        HelpKind.WANTED: tr("{market}: {count} more {crop} wanted"),
        HelpKind.HANDS: tr("Hands to move {crates} more in an evening"),
        HelpKind.SECOND_GRADE: tr("Someone who takes second-grade {crop}"),
    }[help_.kind].format(
        crates=crates_words(help_.amount),
        place=place_words(help_.place_id, reader),
        day=until,
        like=market_words(help_.like_id, reader),
        count=words.number(help_.amount),
        crop=wanted if help_.kind is HelpKind.WANTED else crop,
        market=market_words(help_.market_day_id, reader),
    )
    if help_.kind in (HelpKind.ROOM, HelpKind.HANDS) and until:
        what = tr("{what} until {day}").format(what=what, day=until)
    if help_.price_minor is not None:
        what = tr("{what} at {price} each").format(what=what, price=words.money(help_.price_minor))
    money = money_about(help_.value_minor, words)
    if help_.fruit >= 0.5:
        return tr(
            "{what}: about {money} more, as {fruit} fruit are sold that would be lost."
        ).format(what=what, money=money, fruit=words.number(help_.fruit))
    return tr("{what}: about {money} more.").format(what=what, money=money)
