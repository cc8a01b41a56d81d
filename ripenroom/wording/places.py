"""Places in words: how warm one was, how it aged fruit, what another temperature would do."""

from collections.abc import Iterator

import numpy as np

from ripenroom.records.crop.crop_names import within
from ripenroom.records.place import Place
from ripenroom.season.moments import local_day_numbers, to_hours
from ripenroom.season.projection import FloatColumn, Projection
from ripenroom.season.room_report import BAND_K, RoomReport
from ripenroom.season.season import Season
from ripenroom.texts import noted_n, tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name
from ripenroom.wording.reader import Reader

_AS_THE_DIAL = 0.03
"""Ageing within this share of what the dial says is as the dial says."""


def air_words(place: Place, reader: Reader) -> str:
    """What sets the air of a place without a thermostat: the weather, or what counts instead."""
    words = reader.words
    counts = words.set_point(reader.season.set_point_c(place.id))
    if place.weather_lag_h is None:
        return tr(
            "No thermostat: {temperature} counts as its average. Edit changes that, or lets it "
            "follow the weather."
        ).format(temperature=counts)
    lag = place.weather_lag_h
    follows = tr("Follows the weather, {hours}\u00a0h behind").format(
        hours=words.number(lag, 0 if lag == round(lag) else 1)
    )
    air = reader.season.ask.air_today(place.id)
    if air is None:
        return tr("{follows}. Today’s weather is not known: {temperature} counts.").format(
            follows=follows, temperature=counts
        )
    return tr("{follows}: now {now}, today {low} to {high}.").format(
        follows=follows,
        now=words.temperature(air.now_c, 0),
        low=words.temperature(air.low_c, 0),
        high=words.temperature(air.high_c, 0),
    )


def short_report_words(report: RoomReport, season: Season, words: Formats) -> str:
    """How the place ages fruit, and how warm it was: what its dial hides."""
    warm = tr("On average {mean}, set to {set} ({days}).").format(
        mean=words.temperature(report.mean_c),
        set=words.set_point(report.set_point_c),
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
        set=words.set_point(report.set_point_c),
        low=words.temperature(report.low_c),
        high=words.temperature(report.high_c),
    )


def _band_words(report: RoomReport, words: Formats) -> Iterator[str]:
    whole = words.temperature_unit == "C"
    band = words.temperature_difference(BAND_K, 0 if whole else 1)
    if report.above_h >= 0.5:
        yield tr("Too warm by more than {band} for {hours} h.").format(
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
        yield tr("Too cold by more than {band} for {hours} h.").format(
            hours=words.number(report.below_h), band=band
        )


def _gap_words(report: RoomReport, words: Formats) -> Iterator[str]:
    if not report.gaps:
        return
    longest = max(end - start for start, end in report.gaps)
    yield tr_n(
        "Nothing was read for {hours} h: the set temperature counts then.",
        "There are {n} gaps without readings, the longest of {hours} h: the set temperature counts "
        "then.",
        len(report.gaps),
    ).format(hours=words.number(longest))


def trial_words(place: str, celsius: float, tried: Projection, reader: Reader) -> str:
    """``"Cold room at 41 °F: 2 batches must be eaten 9–12 days sooner. Ready on Sat 3 Oct: …"``

    ``tried`` is the season under that temperature; it is held against the season as it is.
    """
    words, now = reader.words, reader.projection()
    left = now.left > 0.0
    before, after = (np.where(left, one.closes_h.mid, np.nan) for one in (now, tried))
    # By the days that are written beside the batches, not by hours.
    days = [local_day_numbers(one, words.zone) for one in (before, after)]
    said = _shifts(days[1] - days[0], words)
    if more := int((np.isnan(before) & np.isfinite(after) & left).sum()):
        said.append(tr_n("{n} more batch ripens", "{n} more batches ripen", more))
    if fewer := int((np.isfinite(before) & np.isnan(after) & left).sum()):
        said.append(tr_n("{n} batch no longer ripens", "{n} batches no longer ripen", fewer))
    head = tr("{place} at {temperature}").format(place=place, temperature=words.set_point(celsius))
    if not said:
        return tr("{head}: no batch changes by a day.").format(head=head)
    effect = tr("{head}: {shifts}.").format(head=head, shifts=", ".join(said))
    market = _next_market(now, tried, reader)
    return f"{effect} {market}" if market else effect


def _shifts(shift_days: FloatColumn, words: Formats) -> list[str]:
    """How many batches are past sooner and later, and by how many days."""
    said = []
    for own, forms in (
        (
            shift_days < 0.0,
            noted_n(
                "{n} batch must be eaten {days} sooner", "{n} batches must be eaten {days} sooner"
            ),
        ),
        (
            shift_days > 0.0,
            noted_n(
                "{n} batch can be eaten {days} longer", "{n} batches can be eaten {days} longer"
            ),
        ),
    ):
        if own.any():
            days = np.abs(shift_days[own])
            text = tr_n(*forms, int(own.sum()))
            said.append(text.format(days=_days(days.min(), days.max(), words)))
    return said


def _days(least: float, most: float, words: Formats) -> str:
    days = words.number_range(least, most)
    return tr_n("{days} day", "{days} days", round(most)).format(days=days)


def _next_market(now: Projection, tried: Projection, reader: Reader) -> str:
    """How many batches are ready on the next market day, before and after; empty without one."""
    season = reader.season
    ahead = [day for day in season.book.market_days.values() if day.starts_at > season.now()]
    if not ahead:
        return ""
    starts_at = min(day.starts_at for day in ahead)
    counts = [_ready_at(one, to_hours(starts_at)) for one in (now, tried)]
    text = tr("Ready on {day}: no change.")
    if counts[0] != counts[1]:
        text = tr_n(
            "Ready on {day}: {n} batch, not {before}.",
            "Ready on {day}: {n} batches, not {before}.",
            counts[1],
        )
    return text.format(day=reader.words.day(starts_at), before=counts[0])


def _ready_at(projection: Projection, hour: float) -> int:
    opens, closes = projection.opens_h.mid, projection.closes_h.mid
    return int(((projection.left > 0.0) & (opens <= hour) & (closes > hour)).sum())
