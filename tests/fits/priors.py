"""What is believed of a crop's figures before any statement about it is read.

Weak on purpose, and the same for every crop: what soft fruit is like in general. A table by
temperature is a line with a doubtful height and slope and a little unevenness; other figures are
Normal on their scale by themselves. None of it rests on a particular crop.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.records.crop.statement import DAYS
from ripenroom.science.softening import Floats
from ripenroom.units import NEWTONS_PER
from tests.fits.scales import LOG, LOG_ABOVE_ONE, LOGIT, Scale, age_scale, log_scale


@dataclass(frozen=True, slots=True)
class Alone:
    """A figure's mean and sd on its scale."""

    scale: Scale
    mean: float
    sd: float
    pace: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A table's height at ``middle_c`` (log), and its rise per 10 K, each with its sd; and how far
    single points lie off the line."""

    height: float
    height_sd: float
    middle_c: float
    rise: float
    rise_sd: float
    uneven_sd: float


_ALONE: dict[Path, Alone] = {
    # Half-way through softening in the warm takes days, not hours or months.
    ("rate", "speed"): Alone(LOG, math.log(0.6), 0.9, pace=True),
    # Ripening and respiration of most fruit: Q10 of 2 to 4 near 15 C.
    ("rate", "activation"): Alone(LOG, math.log(75.0), 0.35),
    ("rate", "q10"): Alone(LOG_ABOVE_ONE, math.log(1.5), 0.5),
    ("ripe_life", "days"): Alone(LOG, math.log(3.5), 0.7, pace=True),
    ("ripe_life", "q10"): Alone(LOG_ABOVE_ONE, math.log(1.1), 0.5),
    ("gate", "meanwhile"): Alone(LOGIT, math.log(0.15 / 0.85), 1.0),
    # The trade gives ethylene for one to three days.
    ("gate", "ethylene_days"): Alone(LOG, math.log(1.5), 0.5, pace=True),
    ("gate", "per_age"): Alone(LOGIT, math.log(0.7 / 0.3), 0.8),
    ("gate", "width"): Alone(LOG, math.log(0.3), 0.5),
}

_TABLES: dict[tuple[Path, str], Line] = {
    (("chilling", "allowance"), "days"): Line(math.log(20.0), 1.0, 5.0, 0.5, 0.6, 0.2),
    (("storage", "life"), "days"): Line(math.log(40.0), 1.2, 2.0, -0.9, 0.5, 0.2),
    (("gate", "needs"), "days"): Line(math.log(30.0), 0.8, 5.0, -0.3, 0.6, 0.2),
    (("rate", "by_temperature"), "speed"): Line(math.log(0.5), 0.9, 20.0, 0.9, 0.4, 0.25),
    (("ripening", "days"), "days"): Line(math.log(6.0), 0.8, 20.0, -0.9, 0.4, 0.15),
}

_MARKS: dict[Path, float] = {
    # Ages: 0 is half-way through softening. Feels are set by hand: they say what words mean, and
    # days from them are published too rarely to tell a feel from a pace.
    ("wont_ripen", "half"): -2.5,
    ("firmness", "ready"): 1.6,
    ("firmness", "too_soft"): 3.2,
}
_MARKS_TOGETHER_SD, _MARK_SD = 0.5, 0.45
"""Marks of a crop lie early or late on its curve together, and each a little by itself."""

_GROUP_SD = 0.4
"""Sd (log) between a cultivar group with figures of its own and its crop: half to twice as much."""

_NEWTONS = {str(unit): newton for unit, newton in NEWTONS_PER.items()}


@dataclass(frozen=True, slots=True)
class Prior:
    """Mean (figures,) and covariance (figures, figures) of figures on their scales.

    ``pace`` says which of them differ from farm to farm by as much as fruit does.
    """

    paths: tuple[Path, ...]
    scales: tuple[Scale, ...]
    mean: Floats
    covariance: Floats
    pace: np.ndarray

    def of(self, which: np.ndarray) -> "Prior":
        """That of some figures only, the others left as they are believed."""
        return Prior(
            tuple(self.paths[n] for n in which),
            tuple(self.scales[n] for n in which),
            self.mean[which],
            self.covariance[np.ix_(which, which)],
            self.pace[which],
        )

    def with_one_near(self, n: int, path: Path, sd: float) -> "Prior":
        """The same with one more figure, which is that of number ``n`` but for an sd of its own."""
        row = self.covariance[n]
        return Prior(
            (*self.paths, path),
            (*self.scales, self.scales[n]),
            np.append(self.mean, self.mean[n]),
            np.block([[self.covariance, row[:, None]], [row[None, :], row[n] + sd**2]]),
            np.append(self.pace, self.pace[n]),
        )


def prior_of(document: CropDocument) -> Prior:
    """The prior of every figure of a profile that statements could bear on."""
    found = list(_all(document))
    sizes = [len(means) for _, _, means, _, _ in found]
    covariance = np.zeros((sum(sizes), sum(sizes)))
    begin = 0
    for (_, _, _, block, _), size in zip(found, sizes, strict=True):
        covariance[begin : begin + size, begin : begin + size] = block
        begin += size
    return _with_groups(
        document,
        Prior(
            tuple(path for paths, *_ in found for path in paths),
            tuple(scale for _, scales, *_ in found for scale in scales),
            np.array([mean for _, _, means, _, _ in found for mean in means]),
            covariance,
            np.array([pace for paths, *_, pace in found for _ in paths], dtype=bool),
        ),
    )


def _with_groups(document: CropDocument, whole: Prior) -> Prior:
    """The prior with the figures of cultivar groups, which are near those of their crop."""
    for name in document.table(("group",)):
        for n, path in enumerate(whole.paths):
            own = ("group", name, *path)
            if document.table(own) and _same_place(document, own, path):
                whole = whole.with_one_near(n, own, _GROUP_SD)
    return whole


def _same_place(document: CropDocument, one: Path, other: Path) -> bool:
    """Whether two entries of tables by temperature are of the same one; other figures are."""
    at = [document.table(path[:-1]).get("at_c") for path in (one, other)]
    return at[0] == at[1]


_Block = tuple[tuple[Path, ...], list[Scale], list[float], Floats, bool]


def _all(document: CropDocument) -> Iterator[_Block]:
    for path, alone in _ALONE.items():
        if document.table(path):
            scale = _in_days(document.table(path)) if alone.scale is LOG else alone.scale
            yield (path,), [scale], [alone.mean], np.array([[alone.sd**2]]), alone.pace
    for (path, key), line in _TABLES.items():
        entries = [document.table((*path, n)) for n in range(document.length(path))]
        if entries:
            tens_k = np.array([(float(str(e["at_c"])) - line.middle_c) / 10.0 for e in entries])
            covariance = line.height_sd**2 + line.rise_sd**2 * np.outer(tens_k, tens_k)
            covariance += line.uneven_sd**2 * np.eye(tens_k.size)
            paths = tuple((*path, n, key) for n in range(tens_k.size))
            scales = [_in_days(document.table(own)) for own in paths]
            yield paths, scales, (line.height + line.rise * tens_k).tolist(), covariance, True
    if document.get(("judged_by",)) in (None, "firmness"):
        yield from _marks(document)


def _marks(document: CropDocument) -> Iterator[_Block]:
    highest_n, lowest_n = (_newtons(document, ("firmness", end)) for end in ("highest", "lowest"))
    covariance = _MARK_SD**2 * np.eye(len(_MARKS)) + _MARKS_TOGETHER_SD**2
    units = [_NEWTONS[str(document.table(path).get("unit"))] for path in _MARKS]
    scales = [age_scale(highest_n, lowest_n, newtons) for newtons in units]
    yield tuple(_MARKS), scales, list(_MARKS.values()), covariance, False


def _in_days(figure: Mapping[str, object]) -> Scale:
    """The scale of a figure that may be kept in weeks or months, as of days."""
    return log_scale(DAYS.get(str(figure.get("unit")), 1.0))


def _newtons(document: CropDocument, path: Path) -> float:
    table = document.table(path)
    return float(str(table["value"])) * _NEWTONS[str(table["unit"])]
