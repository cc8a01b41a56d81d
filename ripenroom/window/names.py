"""Words on screen for codes: crops, places, feels, states, and what ends a batch ("too soft")."""

import math
from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.profile import CropProfile, Gate
from ripenroom.records.market import MarketKind
from ripenroom.records.place import PlaceKind
from ripenroom.season.findings import NoDate
from ripenroom.season.projection import EndCause, FruitState
from ripenroom.window.formats import Formats


def state_name(state: FruitState) -> str:
    """A fruit state in words."""
    return {
        FruitState.WONT_RIPEN: QCoreApplication.translate("Names", "won't ripen"),
        FruitState.HOLDING: QCoreApplication.translate("Names", "not ready yet"),
        FruitState.READY: QCoreApplication.translate("Names", "ready"),
        FruitState.PAST: QCoreApplication.translate("Names", "past"),
    }[state]


def end_cause_name(cause: EndCause) -> str:
    """Why fruit is past, as it stands alone."""
    return {
        EndCause.TOO_SOFT: QCoreApplication.translate("Names", "too soft"),
        EndCause.RIPE_LIFE: QCoreApplication.translate("Names", "ripe too long"),
        EndCause.CHILLING: QCoreApplication.translate("Names", "spoilt by the cold"),
        EndCause.STORAGE_LIFE: QCoreApplication.translate("Names", "stored too long"),
        EndCause.FROST: QCoreApplication.translate("Names", "frozen"),
        EndCause.NEVER_READY: QCoreApplication.translate("Names", "never ready"),
    }[cause]


def end_words(cause: EndCause, over: bool = False) -> str:
    """``"too soft after {day}"``, once it is ``over`` ``"too soft since {day}"``."""
    said = (
        QCoreApplication.translate("Names", "{why} since {day}")
        if over
        else QCoreApplication.translate("Names", "{why} after {day}")
    )
    return said.replace("{why}", end_cause_name(cause))


def feel_names(crop: CropProfile | None = None) -> tuple[str, ...]:
    """The hand feels from hardest to softest, in the order of ``feel_counts``.

    A crop that is looked at instead has names of its own, which come with its profile.
    """
    if crop is not None and crop.feel.names:
        return crop.feel.names
    return (
        QCoreApplication.translate("Names", "hard"),
        QCoreApplication.translate("Names", "slight give"),
        QCoreApplication.translate("Names", "gives"),
        QCoreApplication.translate("Names", "soft"),
        QCoreApplication.translate("Names", "too soft"),
    )


def place_kind_name(kind: PlaceKind) -> str:
    """A kind of place in words."""
    return {
        "cold room": QCoreApplication.translate("Names", "cold room"),
        "cool shelf": QCoreApplication.translate("Names", "cool shelf"),
        "ripening room": QCoreApplication.translate("Names", "ripening room"),
        "counter": QCoreApplication.translate("Names", "counter"),
        "field bin": QCoreApplication.translate("Names", "field bin"),
    }[kind]


def market_kind_name(kind: MarketKind) -> str:
    """A kind of market day in words."""
    return {
        "market": QCoreApplication.translate("Names", "market"),
        "festival": QCoreApplication.translate("Names", "festival"),
        "farm stand": QCoreApplication.translate("Names", "farm stand"),
        "shop order": QCoreApplication.translate("Names", "shop order"),
    }[kind]


def crop_name(crops: Mapping[str, CropProfile], key: str) -> str:
    """A crop's name, or its key where its profile is not at hand."""
    return crops[key].name if key in crops else key


def by_name(name: str) -> tuple[str, int]:
    """Order in which "Row 10" comes after "Row 9"."""
    letters = name.rstrip("0123456789")
    digits = name[len(letters) :]
    return letters.casefold(), int(digits) if digits else -1


def begun(text: str) -> str:
    """A text as a sentence or a heading begins: the first letter a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


COLD = "cold"
"""What gates are named that a cold room opens."""


def gate_words(gate: Gate, opens_h: float, now_h: float, words: Formats) -> str:
    """``"needs its cold until Mon 12 Oct"``; empty where the gate is open (or there is none).

    ``opens_h`` is as :attr:`Projection.gate_opens_h`.
    """
    if math.isnan(opens_h) or opens_h <= now_h:
        return ""
    if math.isfinite(opens_h):
        until = (
            QCoreApplication.translate("Gate", "needs its cold until {day}")
            if gate.name == COLD
            else QCoreApplication.translate("Gate", "waits for its {gate} until {day}")
        )
        return until.format(gate=gate.name, day=words.day(opens_h))
    way_out = (
        QCoreApplication.translate("Gate", "needs cold first: move it to a cold room")
        if gate.name == COLD
        else QCoreApplication.translate(
            "Gate", "needs {gate} first: move it below {temperature}"
        ).format(gate=gate.name, temperature=words.temperature(gate.none_above_c, 0))
    )
    if gate.ethylene_days is None:
        return way_out
    return QCoreApplication.translate("Gate", "{way_out}, or give it ethylene").format(
        way_out=way_out
    )


def no_date_words(reason: NoDate, gate: Gate | None) -> str:
    """The reason as it stands where a day would: ``"freezes first"``."""
    return {
        NoDate.WONT_RIPEN: QCoreApplication.translate("NoDate", "won't ripen"),
        NoDate.GATE: QCoreApplication.translate("NoDate", "needs {gate} first").format(
            gate="" if gate is None else gate.name
        ),
        NoDate.CHILLING: QCoreApplication.translate("NoDate", "spoilt by cold first"),
        NoDate.STORAGE_LIFE: QCoreApplication.translate("NoDate", "stored too long first"),
        NoDate.FROST: QCoreApplication.translate("NoDate", "freezes first"),
        NoDate.TOO_COLD: QCoreApplication.translate("NoDate", "too cold to ripen here"),
    }[reason]
