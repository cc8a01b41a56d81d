"""Words on screen for codes: crops, fruit and their states, feels, places and market days."""

import math
from collections.abc import Mapping

from ripenroom.records.crop.called import as_called, called, fruit_noun, gate_called
from ripenroom.records.crop.profile import CropProfile, Gate
from ripenroom.records.market import MarketKind
from ripenroom.records.place import PlaceKind
from ripenroom.season.findings import NoDate
from ripenroom.season.projection import EndCause, FruitState
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats


def feel_names(crop: CropProfile | None = None) -> tuple[str, ...]:
    """The hand feels from hardest to softest, in the order of ``feel_counts``.

    A crop that is looked at instead has names of its own, which come with its profile.
    """
    if crop is not None and crop.feel.names:
        return tuple(as_called(crop, name) for name in crop.feel.names)
    return (
        tr("hard"),
        tr("slight give"),
        tr("gives"),
        tr("soft"),
        tr("too soft"),
    )


def place_kind_name(kind: PlaceKind) -> str:
    """A kind of place in words."""
    return {
        "cold room": tr("cold room"),
        "cool shelf": tr("cool shelf"),
        "ripening room": tr("ripening room"),
        "counter": tr("counter"),
        "field bin": tr("field bin"),
    }[kind]


def market_kind_name(kind: MarketKind) -> str:
    """A kind of market day in words."""
    return {
        "market": tr("market"),
        "festival": tr("festival"),
        "farm stand": tr("farm stand"),
        "shop order": tr("shop order"),
    }[kind]


def crop_name(crops: Mapping[str, CropProfile], key: str) -> str:
    """A crop's name, or its key where its profile is not at hand."""
    return called(crops[key]) if key in crops else key


def fruit_name(crops: Mapping[str, CropProfile], key: str, count: float = 2.0) -> str:
    """What so many fruit of a crop are called within a sentence: "pawpaw", "Anjou pears"."""
    return fruit_noun(crops[key], count) if key in crops else key


def group_name(crops: Mapping[str, CropProfile], key: str, group: str) -> str:
    """What a group of a crop's cultivars is called."""
    return as_called(crops[key], group) if key in crops else group


def by_name(name: str) -> tuple[str, int]:
    """Order in which "Row 10" comes after "Row 9"."""
    letters = name.rstrip("0123456789")
    digits = name[len(letters) :]
    return letters.casefold(), int(digits) if digits else -1


def begun(text: str) -> str:
    """A text as a sentence or a heading begins: the first letter a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


_COLD = "cold"
"""The name of gates that a cold room opens."""


def state_name(state: FruitState, may_ripen: bool = False) -> str:
    """A fruit state in words; of fruit that hardly will, but ``may_ripen``, no more than that."""
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
        EndCause.CHILLING: tr("spoilt by the cold"),
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
        NoDate.CHILLING: tr("never: cold spoils it"),
        NoDate.STORAGE_LIFE: tr("never: stored too long"),
        NoDate.FREEZING: tr("never: it freezes"),
        NoDate.TOO_COLD: tr("too cold to ripen here"),
    }[reason]
