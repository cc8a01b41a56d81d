"""Refuses or questions feel counts and gauge readings that do not fit the crop."""

from typing import Any

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.crop.crop_names import as_called, called, within
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.limits import MOST_FRUIT
from ripenroom.records.refusal import Question, Refusal
from ripenroom.texts import tr
from ripenroom.units import NEWTONS_PER, ForceUnit, force_in, newtons


def require_counts(counts: FeelCounts, profile: CropProfile) -> None:
    """Refuse counts by feel (or look) that are beyond their limits, each by its name."""
    _require_judged("feel_counts", profile)
    by_colour = profile.judged_by == "colour"
    looks = [as_called(profile, name) for name in profile.feel.names]
    for feel, number in zip(looks or map(tr, FEELS), counts, strict=True):
        if not 0 <= number <= MOST_FRUIT:
            raise Refusal(
                "feel_counts",
                "{number} fruit that look “{feel}”: type a whole number from 0 to {most}."
                if by_colour
                else "{number} fruit that feel “{feel}”: type a whole number from 0 to {most}.",
                number=number,
                feel=feel,
                most=MOST_FRUIT,
            )


def require_feel(counts: FeelCounts, count: int | None, profile: CropProfile) -> None:
    """Refuse counts by feel (or look) that are none together, or more than the fruit."""
    by_colour = profile.judged_by == "colour"
    told = sum(counts)
    if told == 0:
        raise Refusal(
            "feel_counts",
            "All colors are 0: say how many fruit you looked at."
            if by_colour
            else "All feels are 0: say how many fruit you squeezed.",
        )
    if count is not None and told > count:
        raise Refusal(
            "feel_counts",
            "The colors add up to {told} fruit, but the count is only {count}."
            if by_colour
            else "The feels add up to {told} fruit, but the count is only {count}.",
            told=told,
            count=count,
        )


def _require_judged(field: str, profile: CropProfile) -> None:
    if profile.judged_by == "nothing":
        raise Refusal(
            field,
            "How {crop} softens is not known, only its dates: leave feel and readings empty, "
            "and type a count or a weight.",
            crop=within(called(profile)),
        )


def require_readings(entry: PickEntry | CheckEntry, profile: CropProfile) -> None:
    """Refuse or question gauge readings that do not fit the crop."""
    _require_judged("readings", profile)
    if profile.judged_by == "colour":
        raise Refusal(
            "readings",
            "{crop} is judged by its color: leave the readings empty, and count the fruit of each "
            "color, greenest first.",
            crop=called(profile),
        )
    if entry.feel_counts is not None:
        raise Refusal("readings", "Give hand feel or gauge readings, not both.")
    if entry.reading_unit is None:
        raise Refusal("reading_unit", "Say in which unit the gauge reads: N, kgf or lbf.")
    lowest, highest = profile.firmness.lowest_n.low, profile.firmness.highest_n.high
    for reading in entry.readings:
        newton = newtons(reading, entry.reading_unit)
        if newton <= highest and (newton >= lowest or "readings" in entry.answered):
            continue
        other = _fitting_unit(reading, entry.reading_unit, lowest, highest)
        facts: dict[str, Any] = {
            "reading": reading,
            "unit": entry.reading_unit,
            "crop": within(called(profile)),
            # In the gauge's own unit, which is the one that was read.
            "lowest": force_in(lowest, entry.reading_unit),
            "highest": force_in(highest, entry.reading_unit),
        }
        if other is not None and "readings" not in entry.answered:
            raise Question(
                "readings",
                "{reading:g} {unit} is not possible: {crop} is {lowest:.3g} to {highest:.3g} "
                "{unit}. Is it {reading:g} {other}?",
                suggestion=other,
                possible=newton <= highest,
                other=other,
                **facts,
            )
        if newton > highest:
            raise Refusal(
                "readings",
                "{reading:g} {unit} is firmer than any {crop} (at most {highest:.3g} {unit}). "
                "Fix the reading or its unit.",
                **facts,
            )
        raise Question(
            "readings",
            "{reading:g} {unit} is softer than {crop} ever gets ({lowest:.2g} {unit}). "
            "Is the gauge zeroed?",
            **facts,
        )
    _require_probe(entry, profile)


def _fitting_unit(
    reading: float, unit: ForceUnit, lowest: float, highest: float
) -> ForceUnit | None:
    """The one other unit in which the reading would be possible for the crop."""
    fitting = [u for u in NEWTONS_PER if u != unit and lowest <= newtons(reading, u) <= highest]
    return fitting[0] if fitting else None


def _require_probe(entry: PickEntry | CheckEntry, profile: CropProfile) -> None:
    if entry.probe_mm is None:
        return
    usual_mm = profile.firmness.probe_mm
    if abs(entry.probe_mm - usual_mm) > 0.2 and "probe_mm" not in entry.answered:
        raise Question(
            "probe_mm",
            "{crop} is usually read with a probe of {usual:g} mm; with {probe:g} mm the eat-"
            "by window will be off.",
            suggestion=usual_mm,
            crop=within(called(profile)),
            usual=usual_mm,
            probe=entry.probe_mm,
        )
