"""When a batch is good, in one line: its dates with their ranges, or what keeps it unripe."""

import math

from ripenroom.records.crop.profile import Gate
from ripenroom.season.projection import EndCause, FruitState, Projection, Ranged
from ripenroom.texts import tr, tr_n
from ripenroom.wording.batch_states_and_ends import end_words, gate_words, state_name
from ripenroom.wording.formats import Formats


def batch_forecast(projection: Projection, line: int, gate: Gate | None, words: Formats) -> str:
    """When the batch is good, every forecast with its range; sentences without the last stop.

    ``gate`` is what it needs before it ripens; None if nothing, or not known.
    """
    state = FruitState(int(projection.state[line]))
    cause = EndCause(int(projection.end_cause[line]))
    if projection.left[line] <= 0:
        return tr("none of it is left here")
    opens, closes = projection.opens_h, projection.closes_h
    waits = _waits_for(projection, line, gate, words)
    if projection.ends_unready[line]:
        over = state is FruitState.PAST
        said = tr("not ready in time: {end}").format(end=_end(cause, over, closes, line, words))
        if over:
            return said
        if cause is EndCause.FREEZING:
            warmer = tr("make it warmer there, or move it")
            return f"{said}; {warmer}"
        # What waits for its cold is told the way out of that instead.
        way_out = waits or tr("move it somewhere warmer")
        return f"{said}; {way_out}"
    if waits and math.isnan(opens.mid[line]):
        return waits
    if state is FruitState.WONT_RIPEN:
        if gate is not None:
            return tr("won't ripen as it is kept now")
        if projection.may_ripen[line]:
            return _may_not_ripen(float(projection.squeeze_again_h[line]), words)
        return tr("won't ripen; picked too hard")
    if math.isnan(opens.mid[line]):
        return tr("too cold to ripen; move it somewhere warmer")
    now_h = projection.at_h
    opening = tr("ready from {day} ({range})")
    if opens.high[line] <= now_h:
        opening = tr("ready since {day} ({range})")
    elif projection.may_be_ready[line]:
        opening = tr("may be ready now, probably from {day} ({range})")
    best = tr("best {day}").format(day=words.day(float(projection.best_h.mid[line])))
    end = _end(cause, bool(closes.high[line] <= now_h), closes, line, words)
    said = ", ".join([_edge(opening, opens, line, words), best, end])
    at_best = projection.ready_at_best
    share = tr("on the best day {share} are ready at once ({range})")
    share = share.format(
        share=words.share(float(at_best.mid[line])),
        range=words.share_range(float(at_best.low[line]), float(at_best.high[line])),
    )
    parts = [*([waits] if waits else []), said, share]
    wont = round(float(projection.wont_ripen[line] * projection.left[line]))
    if wont:
        parts.append(tr_n("{n} won't ripen", "{n} won't ripen", wont))
    if projection.uneven[line]:
        parts.append(tr("never half of it ready at once"))
    return "; ".join(parts)


def state_at(projection: Projection, line: int, picked_h: float, hour: float) -> str:
    """What the batch that was picked at ``picked_h`` is at an hour, as far as can be said."""
    opens, closes = projection.opens_h, projection.closes_h
    if hour < picked_h:
        return tr("not picked yet")
    unready = bool(projection.ends_unready[line])
    if projection.state[line] == FruitState.WONT_RIPEN:
        return state_name(FruitState.WONT_RIPEN, bool(projection.may_ripen[line]))
    if not unready and math.isnan(opens.mid[line]):
        return state_name(FruitState.HOLDING)
    if hour >= closes.high[line]:
        return state_name(FruitState.PAST)
    if unready:
        if hour < closes.low[line]:
            return state_name(FruitState.HOLDING)
        return tr("not ready, or already past")
    if hour >= closes.low[line]:
        return tr("ready, or just past")
    if hour >= opens.high[line]:
        return state_name(FruitState.READY)
    if hour >= opens.low[line]:
        return state_name(FruitState.HOLDING, may_be_ready=True)
    return state_name(FruitState.HOLDING)


def _may_not_ripen(again_h: float, words: Formats) -> str:
    if math.isinf(again_h):
        return tr("may not ripen; squeeze it again before you clear it")
    return tr("may not ripen; squeeze it again {day}").format(day=words.day(again_h))


def _end(cause: EndCause, over: bool, closes: Ranged, line: int, words: Formats) -> str:
    return _edge(f"{end_words(cause, over)} ({{range}})", closes, line, words)


def _waits_for(projection: Projection, line: int, gate: Gate | None, words: Formats) -> str:
    """What it needs before it ripens; empty once it has had it."""
    if gate is None:
        return ""
    return gate_words(gate, float(projection.gate_opens_h[line]), projection.at_h, words)


def _edge(text: str, edge: Ranged, line: int, words: Formats) -> str:
    return text.format(
        day=words.day(float(edge.mid[line])),
        range=words.day_range(float(edge.low[line]), float(edge.high[line])),
    )
