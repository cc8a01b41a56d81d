"""Words of notices about what a crop needs, or cannot bear, where it stands."""

from ripenroom.records.crop.called import gate_called
from ripenroom.season.findings import Notice
from ripenroom.texts import tr
from ripenroom.wording.reader import Reader


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
