"""What another temperature would do, in words: said before it is kept."""

import numpy as np

from ripenroom.season.moments import to_hours
from ripenroom.season.projection import FloatColumn, Projection
from ripenroom.texts import noted_n, tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.reader import Reader

_TO_SPEAK_OF_H = 12.0
"""A date that shifts by less is the same day to most eyes."""


def trial_words(place: str, celsius: float, tried: Projection, reader: Reader) -> str:
    """``"Cold room at 41 °F: 2 batches are past 9–12 days sooner. Ready on Sat 3 Oct: no change."``

    ``tried`` is the season under that temperature; it is held against the season as it is.
    """
    words, now = reader.words, reader.projection()
    left = now.left > 0.0
    before, after = (np.where(left, one.closes_h.mid, np.nan) for one in (now, tried))
    said = _shifts(after - before, words)
    if more := int((np.isnan(before) & np.isfinite(after) & left).sum()):
        said.append(tr_n("{n} more batch ripens", "{n} more batches ripen", more))
    if fewer := int((np.isfinite(before) & np.isnan(after) & left).sum()):
        said.append(tr_n("{n} batch no longer ripens", "{n} batches no longer ripen", fewer))
    head = tr("{place} at {temperature}").format(
        place=place, temperature=words.temperature(celsius)
    )
    if not said:
        return tr("{head}: no batch changes by a day.").format(head=head)
    effect = tr("{head}: {shifts}.").format(head=head, shifts=", ".join(said))
    market = _next_market(now, tried, reader)
    return f"{effect} {market}" if market else effect


def _shifts(shift_h: FloatColumn, words: Formats) -> list[str]:
    """How many batches are past sooner and later, and by how many days."""
    said = []
    for own, forms in (
        (
            shift_h < -_TO_SPEAK_OF_H,
            noted_n("{n} batch is past {days} sooner", "{n} batches are past {days} sooner"),
        ),
        (
            shift_h > _TO_SPEAK_OF_H,
            noted_n("{n} batch is past {days} later", "{n} batches are past {days} later"),
        ),
    ):
        if own.any():
            days = np.abs(shift_h[own]) / 24.0
            text = tr_n(*forms, int(own.sum()))
            said.append(text.format(days=_days(days.min(), days.max(), words)))
    return said


def _days(least: float, most: float, words: Formats) -> str:
    days = words.number_range(max(least, 1.0), max(most, 1.0))
    return tr_n("{days} day", "{days} days", max(round(most), 1)).format(days=days)


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
        text = tr("Ready on {day}: {after} batches, not {before}.")
    return text.format(day=reader.words.day(starts_at), before=counts[0], after=counts[1])


def _ready_at(projection: Projection, hour: float) -> int:
    opens, closes = projection.opens_h.mid, projection.closes_h.mid
    return int(((projection.left > 0.0) & (opens <= hour) & (closes > hour)).sum())
