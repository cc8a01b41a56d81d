"""What has to hold between the figures of a profile, beyond each being sound by itself."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Protocol

from ripenroom.records.crop.profile import Chilling, CropProfile, Figure, Gate, Ripening
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.texts import tr

Mark = tuple[str, Figure]


def refuse_disorder(profile: CropProfile, path: Path) -> None:
    """Raise :class:`ProfileRefusal` for marks, temperatures or energies out of order.

    Only the values are compared: ranges of neighbouring marks may well overlap.
    """
    if profile.judged_by != "nothing":
        _refuse_clock(profile, path)
    if profile.storage.best_low_c > profile.storage.best_high_c:
        raise ProfileRefusal(path, "storage.best_low_c", tr("is above best_high_c"))
    _refuse_unsorted(path, "storage.life", profile.storage.life)
    if profile.chilling is not None:
        _refuse_chilling(profile.chilling, path)
    if profile.gate is not None:
        _refuse_gate(profile.gate, path)
        if profile.gate.per_age is not None and profile.judged_by == "nothing":
            raise ProfileRefusal(
                path, "gate.per_age", tr("nothing tells how ripe this crop is picked")
            )
    if profile.ripening is not None:
        _refuse_ripening(profile.ripening, path)
    _refuse_unsorted(path, "respiration", profile.respiration)


def _refuse_clock(profile: CropProfile, path: Path) -> None:
    firmness, feel = profile.firmness, profile.feel
    lowest = ("firmness.lowest", firmness.lowest_n)
    highest = ("firmness.highest", firmness.highest_n)
    too_soft = ("firmness.too_soft", firmness.too_soft_n)
    # Not compared with one another: fruit that is eaten as picked is ready when it is mature.
    for mark in (
        ("firmness.ready", firmness.ready_n),
        ("firmness.at_maturity", firmness.at_maturity_n),
    ):
        _refuse_marks(path, lowest, too_soft, mark, highest)
    _refuse_marks(
        path,
        lowest,
        ("feel.too_soft", feel.too_soft_n),
        ("feel.soft", feel.soft_n),
        ("feel.gives", feel.gives_n),
        ("feel.slight_give", feel.slight_give_n),
        highest,
    )
    # The range of firmness at pick becomes one of age, which has no end at the asymptote.
    if firmness.at_maturity_n.high >= firmness.highest_n.value:
        raise ProfileRefusal(path, "firmness.at_maturity.high", tr("needs to be below highest"))
    _refuse_heat(profile, path)


def _refuse_marks(path: Path, *marks: Mark) -> None:
    """Marks are given from softest to firmest."""
    for (soft_key, soft), (firm_key, firm) in pairwise(marks):
        if soft.value >= firm.value:
            raise ProfileRefusal(
                path,
                firm_key,
                tr("{firm:.3g} N needs to be firmer than {key} ({soft:.3g} N)").format(
                    firm=firm.value, key=soft_key, soft=soft.value
                ),
            )


def _refuse_heat(profile: CropProfile, path: Path) -> None:
    rate = profile.rate
    if rate.heat_midpoint_c is None or rate.heat_kj_mol is None or rate.activation_kj_mol is None:
        return
    if rate.heat_midpoint_c.value <= rate.reference_c:
        raise ProfileRefusal(path, "rate.heat_midpoint", tr("needs to be above reference_c"))
    # A smaller energy would let the rate go on rising for ever, which is no heat limit.
    if rate.heat_kj_mol.value <= rate.activation_kj_mol.value:
        raise ProfileRefusal(
            path, "rate.heat_energy", tr("needs to be above the activation energy")
        )


def _refuse_gate(gate: Gate, path: Path) -> None:
    _refuse_unsorted(path, "gate.needs", gate.needs)
    if gate.needs[-1].temperature_c > gate.none_above_c:
        raise ProfileRefusal(
            path, "gate.none_above_c", tr("needs to be above the warmest of needs")
        )


def _refuse_ripening(ripening: Ripening, path: Path) -> None:
    _refuse_unsorted(path, "ripening.days", ripening.days)
    if ripening.stop_c is None:
        return
    # Without a limit nothing is ever told, and the stop would go unheard.
    if ripening.limit_c is None:
        raise ProfileRefusal(path, "ripening.limit_c", tr("missing: stop_c needs it beside it"))
    if ripening.stop_c < ripening.limit_c:
        raise ProfileRefusal(path, "ripening.stop_c", tr("is below limit_c"))


class _At(Protocol):
    @property
    def temperature_c(self) -> float: ...


def _refuse_unsorted(path: Path, key: str, entries: Sequence[_At]) -> None:
    for index, (colder, warmer) in enumerate(pairwise(entries), start=1):
        if colder.temperature_c >= warmer.temperature_c:
            raise ProfileRefusal(path, f"{key}[{index}].at_c", tr("temperatures need to go up"))


def _refuse_chilling(chilling: Chilling, path: Path) -> None:
    key = "chilling.allowance"
    _refuse_unsorted(path, key, chilling.allowance)
    last = len(chilling.allowance) - 1
    if chilling.allowance[last].temperature_c >= chilling.threshold_c.value:
        raise ProfileRefusal(path, f"{key}[{last}].at_c", tr("needs to be below the threshold"))
