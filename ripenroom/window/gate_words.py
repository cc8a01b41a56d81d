"""What a batch waits for before it ripens, in words."""

import math

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.profile import Gate
from ripenroom.window.wording import Wording

COLD = "cold"
"""What gates are named that a cold room opens."""


def gate_words(gate: Gate, opens_h: float, now_h: float, words: Wording) -> str:
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
