"""Crops in words: what one is, how one tells its ripeness, how far its figures can be trusted, and
what a notice says of its needs.

Prose in a profile is written with whole degrees Celsius; it is shown in the season's unit.
"""

import re
from collections.abc import Iterable

from ripenroom.records.crop.crop_names import as_called, called, gate_called
from ripenroom.records.crop.profile import CropProfile, LeftOutSources
from ripenroom.season.notices import Notice
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats, in_percent
from ripenroom.wording.names import begun
from ripenroom.wording.reader import Reader

DOUBTFUL_PCT = 30.0
"""A crop that is usually off by more than this says so wherever it is met."""

FEWEST_SOURCES = 4
"""Of a crop that fewer sources speak of, little is known."""

FEWEST_IN_RANGE_PCT = 65.0
"""Ranges of 80 % that hold less than this of what is published are too narrow."""

BEYOND_PCT = 999.0
"""An error that is larger, or has no end, is given as this in profiles."""


def judged_words(crop: CropProfile) -> str:
    """How one tells how ripe its fruit is."""
    return {
        "firmness": tr("by firmness"),
        "colour": tr("by color"),
        "nothing": tr("dates only"),
    }[crop.judged_by]


def judged_sentence(crop: CropProfile) -> str:
    """The same as a sentence."""
    return {
        "firmness": tr("Judged by firmness: hand or gauge."),
        "colour": tr("Judged by the color of its skin."),
        "nothing": only_dates_words(),
    }[crop.judged_by]


def only_dates_words() -> str:
    """What is told of a crop without a softening clock."""
    return tr("Only dates are published of it, not how it softens, so its ranges are wide.")


def owner_words(own: bool) -> str:
    """Whose figures they are."""
    if own:
        return tr("own")
    return tr("built in")


def doubt_words(crop: CropProfile) -> str:
    """In few words, why to be careful with it; empty where it is as good as others."""
    found = _tested(crop)
    if found is None:
        return tr("not tested yet")
    if found.median_pct > DOUBTFUL_PCT:
        return tr("usually {percent} off").format(percent=_percent(found.median_pct))
    if _in_range_pct(found) < FEWEST_IN_RANGE_PCT:
        return tr("ranges too narrow")
    if found.sources < FEWEST_SOURCES:
        return _only_sources(found.sources)
    return ""


def is_doubtful(crop: CropProfile) -> bool:
    """Whether it was tested and found to be worse than it should be, or too little is known."""
    return _tested(crop) is not None and doubt_words(crop) != ""


def error_sentence(crop: CropProfile) -> str:
    """How it was compared with what sources publish that it did not know, and what came out."""
    found = _tested(crop)
    if found is None:
        return tr("It was not tested yet on sources it was not made from.")
    parts = [_errors(found)]
    if _in_range_pct(found) < FEWEST_IN_RANGE_PCT:
        parts.append(tr("Its ranges are too narrow."))
    if found.sources < FEWEST_SOURCES:
        parts.append(tr("{few}: little is known.").format(few=begun(_only_sources(found.sources))))
    return " ".join(parts)


def _tested(crop: CropProfile) -> LeftOutSources | None:
    found = crop.left_out
    return found if found is not None and found.statements else None


def _in_range_pct(found: LeftOutSources) -> float:
    return 100.0 * found.in_range / found.statements


def _only_sources(number: int) -> str:
    return tr_n("only {n} source", "only {n} sources", number)


def _percent(number: float) -> str:
    return in_percent(round(number)).replace(" ", "\u00a0")


def _errors(found: LeftOutSources) -> str:
    """The test and its outcome, in numbers."""
    if found.statements == 1:
        text = (
            tr("Tested without its only source: 1 statement, {half} off, within the range.")
            if found.in_range
            else tr("Tested without its only source: 1 statement, {half} off, outside the range.")
        )
    elif found.sources == 1:
        text = tr(
            "Tested without its only source: half of {n} statements are at most {half} off, "
            "{tenth}. {inside} of {n} lie in the range shown."
        )
    else:
        text = tr(
            "Tested without each of its {sources} sources in turn: half of {n} "
            "statements are at most {half} off, {tenth}. {inside} of {n} lie in the range shown."
        )
    tenth = (
        tr("one in ten by far more")
        if found.tenth_pct >= BEYOND_PCT
        else tr("nine in ten at most {percent}").format(percent=_percent(found.tenth_pct))
    )
    return text.format(
        sources=found.sources,
        n=found.statements,
        half=_percent(found.median_pct),
        tenth=tenth,
        inside=found.in_range,
    )


_CELSIUS = re.compile(r"(?<![\w.])(?:(\d+)( \w+ |-))?(\d+) C\b")
"""``"24 C"``, ``"10-13 C"`` or ``"2 and 8 C"``: profiles are written in whole degrees Celsius."""


def about_words(crop: CropProfile, words: Formats) -> str:
    """What the crop is, in a sentence or two."""
    return _in_its_unit(as_called(crop, crop.about), words)


def caution_words(crop: CropProfile, words: Formats) -> str:
    """All cautions of the crop; empty where it has none."""
    return _in_its_unit(" ".join(as_called(crop, one) for one in crop.cautions), words)


def cautions_of(crops: Iterable[CropProfile], words: Formats) -> list[tuple[str, str]]:
    """The crops that need care, by name, each with its cautions."""
    return [(called(crop), caution_words(crop, words)) for crop in crops if crop.cautions]


def _in_its_unit(text: str, words: Formats) -> str:
    def shown(found: re.Match[str]) -> str:
        first, between, last = found.groups()
        until = words.temperature(float(last), 0)
        if first is None:
            return until
        start = words.temperature(float(first), 0).removesuffix(f" °{words.temperature_unit}")
        return f"{start}{between.replace('-', '–')}{until}"

    return _CELSIUS.sub(shown, text)


def place_name(notice: Notice, reader: Reader) -> str:
    """The name of the place a notice is about; empty for any other notice."""
    place = reader.season.book.places.get(notice.place_id or "")
    return place.name if place else ""


def gate_name(notice: Notice, reader: Reader) -> str:
    """What the batch of a notice waits for, such as cold; empty where it waits for nothing."""
    crop = reader.season.profile_of(notice.batch_id or "")
    return gate_called(crop.gate) if crop and crop.gate else ""


def gate_words(notice: Notice, reader: Reader) -> str:
    """How much of its need is met, and what is still needed."""
    values, words = notice.values, reader.words
    if not {"done", "days", "at_c"} <= values.keys():
        return ""
    need = tr(
        "it never gets it here: {done} done, {days} more days at {temperature} needed"
    ).format(
        done=words.share(values["done"]),
        days=words.number(values["days"]),
        temperature=words.temperature(values["at_c"], 0),
    )
    if "ethylene_days" not in values:
        return need
    hours = values["ethylene_days"] * 24.0
    instead = tr("or {hours} h of ethylene").format(hours=words.number(hours))
    return f"{need}, {instead}"


def heat_words(notice: Notice, reader: Reader) -> str:
    """How warm it gets and how warm the crop may be, or that its ripening stops there."""
    values, words = notice.values, reader.words
    if not {"left", "warmest_c", "limit_c"} <= values.keys():
        return ""
    told = (
        tr("{fruit} fruit there; up to {warmest}, and ripening stops at {stop}")
        if "stop_c" in values
        else tr("{fruit} fruit there; up to {warmest}, and {limit} is too warm")
    )
    return told.format(
        fruit=words.number(values["left"]),
        warmest=words.temperature(values["warmest_c"], 0),
        limit=words.temperature(values["limit_c"], 0),
        stop=words.temperature(values.get("stop_c", values["limit_c"]), 0),
    )
