"""What a room report says, in words."""

from collections.abc import Iterator

from ripenroom.records.crop.called import within
from ripenroom.season.room_report import BAND_K, RoomReport
from ripenroom.season.season import Season
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name

_AS_THE_DIAL = 0.03
"""Ageing within this share of what the dial says is as the dial says."""


def short_report_words(report: RoomReport, season: Season, words: Formats) -> str:
    """How the place ages fruit, and how warm it was: what its dial hides."""
    warm = tr("On average {mean}, set to {set} ({days}).").format(
        mean=words.temperature(report.mean_c),
        set=words.temperature(report.set_point_c),
        days=words.day_range(report.starts_h, report.ends_h),
    )
    return " ".join([*_ageing_words(report, season, words), warm])


def report_words(report: RoomReport, season: Season, words: Formats) -> str:
    """The report in a few sentences, the most important first."""
    return " ".join(
        [
            *_ageing_words(report, season, words),
            _mean_words(report, words),
            *_band_words(report, words),
            *_gap_words(report, words),
        ]
    )


def _ageing_words(report: RoomReport, season: Season, words: Formats) -> Iterator[str]:
    as_said = []
    for crop, times in report.ageing.items():
        name = within(crop_name(season.crops, crop))
        if abs(times - 1.0) <= _AS_THE_DIAL:
            as_said.append(name)
        else:
            yield tr("Ages {crop} {times} times as fast as its thermostat says.").format(
                crop=name, times=words.number(times, 1 if times >= 1.05 else 2)
            )
    if as_said:
        yield tr("Ages {crops} as fast as its thermostat says.").format(crops=", ".join(as_said))


def _mean_words(report: RoomReport, words: Formats) -> str:
    return tr(
        "Read {days}: on average {mean}, set to {set}; {low} to {high} for four fifths of the time."
    ).format(
        days=words.day_range(report.starts_h, report.ends_h),
        mean=words.temperature(report.mean_c),
        set=words.temperature(report.set_point_c),
        low=words.temperature(report.low_c),
        high=words.temperature(report.high_c),
    )


def _band_words(report: RoomReport, words: Formats) -> Iterator[str]:
    whole = words.temperature_unit == "C"
    band = words.temperature_difference(BAND_K, 0 if whole else 1)
    if report.above_h >= 0.5:
        yield tr("For {hours} h more than {band} too warm.").format(
            hours=words.number(report.above_h), band=band
        )
    spell = report.warmest
    if spell is not None and spell.ends_h - spell.starts_h >= 0.5:
        yield tr("The longest time: {hours} h from {since}, up to {peak}.").format(
            hours=words.number(spell.ends_h - spell.starts_h),
            since=words.moment(spell.starts_h),
            peak=words.temperature(spell.peak_c),
        )
    if report.below_h >= 0.5:
        yield tr("For {hours} h more than {band} too cold.").format(
            hours=words.number(report.below_h), band=band
        )


def _gap_words(report: RoomReport, words: Formats) -> Iterator[str]:
    if not report.gaps:
        return
    longest = max(end - start for start, end in report.gaps)
    yield tr_n(
        "Nothing was read for {hours} h: the set temperature counts then.",
        "Nothing was read {n} times, for {hours} h at most: the set temperature counts then.",
        len(report.gaps),
    ).format(hours=words.number(longest))
