"""How a batch stands in words: its state, what ends it ("too soft after …"), what it waits for."""

import math

from ripenroom.records.crop.crop_names import gate_called
from ripenroom.records.crop.profile import Gate
from ripenroom.season.projection import EndCause, FruitState, NoDate
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats

_COLD = "cold"
"""The name of gates that a cold room opens."""


def state_name(state: FruitState, may_ripen: bool = False, may_be_ready: bool = False) -> str:
    """A fruit state in words; of fruit that hardly will, but ``may_ripen``, no more than that, and
    so of fruit that probably is not, but ``may_be_ready``."""
    if state is FruitState.HOLDING and may_be_ready:
        return tr("may be ready")
    if state is FruitState.WONT_RIPEN and may_ripen:
        return tr("may not ripen")
    return {
        FruitState.WONT_RIPEN: tr("won't ripen"),
        FruitState.HOLDING: tr("not ready yet"),
        FruitState.READY: tr("ready"),
        FruitState.PAST: tr("past"),
    }[state]


def end_cause_name(cause: EndCause) -> str:
    """Why fruit is past, as it stands alone."""
    return {
        EndCause.TOO_SOFT: tr("too soft"),
        EndCause.RIPE_LIFE: tr("overripe"),
        EndCause.CHILLING: tr("spoiled by the cold"),
        EndCause.STORAGE_LIFE: tr("stored too long"),
        EndCause.FREEZING: tr("frozen"),
        EndCause.NEVER_READY: tr("never ready"),
    }[cause]


def end_words(cause: EndCause, over: bool = False) -> str:
    """``"too soft after {day}"``, once it is ``over`` ``"too soft since {day}"``."""
    said = tr("{why} since {day}") if over else tr("{why} after {day}")
    return said.replace("{why}", end_cause_name(cause))


def gate_words(gate: Gate, opens_h: float, now_h: float, words: Formats) -> str:
    """``"needs its cold until Mon 12 Oct"``; empty where the gate is open (or there is none).

    ``opens_h`` is as :attr:`Projection.gate_opens_h`.
    """
    if math.isnan(opens_h) or opens_h <= now_h:
        return ""
    if math.isfinite(opens_h):
        until = (
            tr("needs its cold until {day}")
            if gate.name == _COLD
            else tr("waits for its {gate} until {day}")
        )
        return until.format(gate=gate_called(gate), day=words.day(opens_h))
    way_out = (
        tr("needs cold first: move it to a cold room")
        if gate.name == _COLD
        else tr("needs {gate} first: move it below {temperature}").format(
            gate=gate_called(gate), temperature=words.temperature(gate.none_above_c, 0)
        )
    )
    if gate.ethylene_days is None:
        return way_out
    return tr("{way_out}, or give it ethylene").format(way_out=way_out)


def no_date_words(reason: NoDate, gate: Gate | None) -> str:
    """The reason as it stands where a day would: ``"never: it freezes"``."""
    return {
        NoDate.WONT_RIPEN: tr("won't ripen"),
        NoDate.MAY_NOT_RIPEN: tr("may not ripen"),
        NoDate.GATE: tr("needs {gate} first").format(
            gate="" if gate is None else gate_called(gate)
        ),
        NoDate.CHILLING: tr("cold spoils it here"),
        NoDate.STORAGE_LIFE: tr("never: stored too long"),
        NoDate.FREEZING: tr("never: it freezes"),
        NoDate.TOO_COLD: tr("too cold to ripen here"),
    }[reason]
