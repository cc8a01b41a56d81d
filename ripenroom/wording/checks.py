"""What a check is for, in words."""

from ripenroom.records.check import Check
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.advice.advice import WARM_C, CheckDesign, DateKind
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import feel_names


def design_words(design: CheckDesign | None, squeezed: int, words: Formats) -> str:
    """How many fruit to squeeze, and what those that were squeezed already tell."""
    if design is None:
        return tr(
            "A check changes no date of this batch any more. It still shows how fast this cultivar "
            "softens."
        )
    date = _date_words(design.date, words)
    now = _days(design.within_days[min(squeezed, len(design.within_days) - 1)], words)
    if design.enough is None:
        return tr(
            "A squeeze now adds little: {date} is known to about ±{days}. Check again in a few "
            "days."
        ).format(days=_days(design.within_days[0], words), date=date)
    if squeezed >= design.enough:
        return tr("{n} fruit are enough: {date} is known to about ±{days}.").format(
            n=squeezed, days=now, date=date
        )
    aim = tr("With {n} fruit {date} is known to about ±{days}.").format(
        n=design.enough, days=_days(design.within_days[design.enough], words), date=date
    )
    if squeezed == 0:
        rest = tr("Now it is ±{days}. Take them from different crates, not the ripest first.")
        return f"{aim} {rest.format(days=now)}"
    rest = tr("You have {n}: ±{days}.")
    return f"{aim} {rest.format(n=squeezed, days=now)}"


def _days(value: float, words: Formats) -> str:
    number = words.number(value, 1)
    return tr("{n} days").format(n=number)


def _date_words(date: DateKind, words: Formats) -> str:
    return {
        DateKind.OPENS: tr("the day it opens"),
        DateKind.CLOSES: tr("the day it closes"),
        DateKind.READY_IF_WARM: tr("the day it would be ready at {warm}").format(
            warm=words.temperature(WARM_C, 0)
        ),
    }[date]


def check_words(check: Check, crop: CropProfile | None, words: Formats) -> str:
    """What was found: "3 slight give, 5 gives" or "5 readings, 11.2 N on average"."""
    if check.feel_counts is not None:
        return ", ".join(
            f"{count} {name}"
            for count, name in zip(check.feel_counts, feel_names(crop), strict=True)
            if count
        )
    mean = words.number(sum(check.readings) / max(len(check.readings), 1), 1)
    unit = check.reading_unit or "N"
    text = tr_n(
        "{n} reading, {mean} {unit}",
        "{n} readings, {mean} {unit} on average",
        len(check.readings),
    )
    return text.format(mean=mean, unit=unit)
