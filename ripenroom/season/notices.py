"""What the user should look at today, most urgent first."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.gated_ageing import part_needs
from ripenroom.season.crop_kinds import CropKind, kind_of
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import FruitState, Projection, Supply
from ripenroom.season.room_clocks import Schedule, schedules
from ripenroom.season.state import zone_of
from ripenroom.season.whereabouts import moves_by_batch


class NoticeKind(StrEnum):
    """Why the user should look at something today."""

    FREEZING = "freezing"
    PAST = "past"
    CLOSES = "closes"
    CHILLING = "chilling"
    HEAT = "heat"
    SHORTAGE = "shortage"
    GLUT = "glut"
    PULL = "pull"
    GATE = "gate"
    OPENS = "opens"
    UNEVEN = "uneven"
    WONT_RIPEN = "wont ripen"
    MAY_NOT_RIPEN = "may not ripen"


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to know today; ``values`` hold the numbers that its words need."""

    kind: NoticeKind
    batch_id: str | None = None
    market_day_id: str | None = None
    place_id: str | None = None
    crop: str | None = None
    when_h: float | None = None
    values: Mapping[str, float] = field(default_factory=dict)


def of_gates(
    book: Book, crops: Mapping[str, CropProfile], projection: Projection
) -> Iterator[Notice]:
    """Batches that wait for their cold or trigger and, as it stands, never get it.

    ``done`` is the share that is met, ``days`` what is still needed at the quickest temperature
    ``at_c`` (C); ``ethylene_days`` of treatment, where they open all of the gate, instead.
    """
    shut = np.isinf(projection.gate_opens_h) & (projection.left > 0.0)
    for line in np.flatnonzero(shut & (projection.state == FruitState.HOLDING)):
        batch_id = projection.batch_ids[int(line)]
        gate = kind_of(book.batches[batch_id], book, crops).profile_in(crops).gate
        assert gate is not None, "a batch whose gate is shut has a crop with a gate"
        quickest = min(gate.needs, key=lambda at: at.days.value)
        done, times = float(projection.gate_done[line]), float(projection.gate_times[line])
        values = {
            "left": float(projection.left[line]),
            "done": done,
            "days": (1.0 - done) * quickest.days.value * times,
            "at_c": quickest.temperature_c,
        }
        if gate.ethylene_days is not None:
            of_all = done / float(part_needs(gate.width.value if gate.width else 0.0)[-1])
            values["ethylene_days"] = (1.0 - of_all) * gate.ethylene_days.value * times
        yield Notice(NoticeKind.GATE, batch_id, values=values)


def of_heat(
    book: Book, crops: Mapping[str, CropProfile], projection: Projection
) -> Iterator[Notice]:
    """Places that get as warm as some crop there bears at most, one notice per place and crop.

    ``limit_c`` (C) is what the crop bears; ``stop_c`` comes with it where it gets so warm that
    ripening stops.
    """
    plans = schedules(book, zone_of(book.season))
    moves = moves_by_batch(book)
    there: dict[tuple[str, CropKind, float], list[int]] = {}
    sound = (projection.state == FruitState.HOLDING) | (projection.state == FruitState.READY)
    for line in np.flatnonzero(sound & (projection.left > 0.0)):
        batch_id = projection.batch_ids[int(line)]
        kind = kind_of(book.batches[batch_id], book, crops)
        ripening = kind.profile_in(crops).ripening
        if ripening is None or ripening.limit_c is None:
            continue
        # A pick's clock may be some minutes ahead; then its first place counts.
        first, *later = moves[batch_id]
        place_id = [first, *(m for m in later if to_hours(m.at) <= projection.at_h)][-1].place_id
        plan = plans[place_id]
        warmest_c = _warmest_c(plan, projection.at_h)
        if warmest_c >= ripening.limit_c:
            there.setdefault((place_id, kind, warmest_c), []).append(int(line))
    for (place_id, kind, warmest_c), lines in there.items():
        ripening = kind.profile_in(crops).ripening
        assert ripening is not None
        assert ripening.limit_c is not None, "only crops with a limit were gathered"
        left = float(projection.left[lines].sum())
        values = {"left": left, "warmest_c": warmest_c, "limit_c": ripening.limit_c}
        if ripening.stop_c is not None and warmest_c >= ripening.stop_c:
            values["stop_c"] = ripening.stop_c
        yield Notice(NoticeKind.HEAT, place_id=place_id, crop=kind.crop, values=values)


def _warmest_c(schedule: Schedule, at_h: float) -> float:
    """How warm a place gets: by its set point and swing, or in the next day's weather."""
    if schedule.outdoors is None:
        return schedule.set_point_at(at_h) + schedule.swing_k
    return float(schedule.air().air_c(at_h + np.arange(0.0, 24.5, 0.5)).max())


SOON_H = 48.0
"""Openings, closings and pulls this far ahead are told today."""

_CHILLING_AHEAD_H = 24.0 * 7.0
_MARKET_AHEAD_H = 24.0 * 7.0
_SHORT_SHARE, _GLUT_SHARE = 0.75, 1.5
"""Ready fruit under or over these shares of what is wanted is a shortage or a glut."""

_URGENCY = tuple(NoticeKind)


def notices(
    book: Book,
    crops: Mapping[str, CropProfile],
    projection: Projection,
    supplies: Sequence[Supply],
) -> tuple[Notice, ...]:
    """Notices in the order of :class:`NoticeKind`, then by time."""
    found = [
        *_of_batches(projection),
        *of_heat(book, crops, projection),
        *of_gates(book, crops, projection),
        *_pulls(book, projection),
        *of_markets(book, projection, supplies),
    ]
    return tuple(
        sorted(
            found, key=lambda n: (_URGENCY.index(n.kind), n.when_h or math.inf, n.batch_id or "")
        )
    )


def _of_batches(projection: Projection) -> Iterator[Notice]:
    now = projection.at_h
    there = projection.left > 0.0
    state = projection.state

    def lines(mask: np.ndarray) -> list[int]:
        return [int(n) for n in np.flatnonzero(mask & there)]

    def notice(kind: NoticeKind, line: int, when_h: float) -> Notice:
        values = {
            "left": float(projection.left[line]),
            "share": float(projection.ready_at_best.mid[line]),
            "used": float(projection.chilling_used[line]),
            "wont_ripen": float(projection.wont_ripen[line]),
        }
        batch_id = projection.batch_ids[line]
        return Notice(
            kind, batch_id, when_h=when_h if math.isfinite(when_h) else None, values=values
        )

    opens, closes = projection.opens_h.mid, projection.closes_h.mid
    chilled, frozen = projection.chilling_out_h, projection.frozen_h
    sound = (state == FruitState.HOLDING) | (state == FruitState.READY)
    with np.errstate(invalid="ignore"):
        chilling_soon = (chilled > now) & (chilled <= now + _CHILLING_AHEAD_H)
        chilling_soon &= state == FruitState.HOLDING
        closing = (state == FruitState.READY) & (closes <= now + SOON_H)
        opening = (state == FruitState.HOLDING) & (opens <= now + SOON_H)
        freezing = sound & (frozen > now)
    for line in lines(freezing):
        yield notice(NoticeKind.FREEZING, line, frozen[line])
    for line in lines(state == FruitState.PAST):
        yield notice(NoticeKind.PAST, line, closes[line])
    for line in lines(closing):
        yield notice(NoticeKind.CLOSES, line, closes[line])
    for line in lines(chilling_soon):
        yield notice(NoticeKind.CHILLING, line, chilled[line])
    for line in lines(opening):
        yield notice(NoticeKind.OPENS, line, opens[line])
    for line in lines(
        projection.uneven & (state <= FruitState.READY) & (state >= FruitState.HOLDING)
    ):
        yield notice(NoticeKind.UNEVEN, line, projection.best_h.mid[line])
    never = state == FruitState.WONT_RIPEN
    for line in lines(never & ~projection.may_ripen):
        yield notice(NoticeKind.WONT_RIPEN, line, math.nan)
    for line in lines(never & projection.may_ripen):
        yield notice(NoticeKind.MAY_NOT_RIPEN, line, projection.squeeze_again_h[line])


def _pulls(book: Book, projection: Projection) -> Iterator[Notice]:
    for move in book.moves.values():
        when_h = to_hours(move.at)
        line = projection.line_of.get(move.batch_id)
        if line is None or not projection.at_h < when_h <= projection.at_h + SOON_H:
            continue
        left = float(projection.left[line])
        # A batch's first move is no pull, even where the pick's clock is some minutes ahead.
        if left > 0.0 and move.at > book.batches[move.batch_id].picked_at:
            yield Notice(NoticeKind.PULL, move.batch_id, when_h=when_h, values={"left": left})


def of_markets(book: Book, projection: Projection, supplies: Sequence[Supply]) -> Iterator[Notice]:
    """Market days of the next week that these supplies leave short, or give far too much."""
    for supply in supplies:
        when_h = to_hours(book.market_days[supply.market_day_id].starts_at)
        if not projection.at_h <= when_h <= projection.at_h + _MARKET_AHEAD_H or not supply.wanted:
            continue
        if supply.ready < _SHORT_SHARE * supply.wanted:
            kind = NoticeKind.SHORTAGE
        elif supply.ready > _GLUT_SHARE * supply.wanted:
            kind = NoticeKind.GLUT
        else:
            continue
        yield Notice(
            kind,
            market_day_id=supply.market_day_id,
            crop=supply.crop,
            when_h=when_h,
            values={
                "wanted": float(supply.wanted),
                "ready": supply.ready,
                "low": supply.low,
                "high": supply.high,
            },
        )
