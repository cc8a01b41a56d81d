"""What the pick tells of a batch's age: by feel, by gauge, or by nothing but its usual maturity."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.science.able_to_ripen import AbleToRipen, fruit_that_ripens
from ripenroom.science.ages import AgeAtPick, Bands, Prior
from ripenroom.science.at_pick import age_from_feel, age_from_nothing, age_from_readings
from ripenroom.science.blocks import joined
from ripenroom.science.softening import Floats
from ripenroom.season.crop_constants import CropConstants
from ripenroom.units import newtons

ERROR_OF_READING = 0.05
"""Part of a reading that adds to its error: a gauge errs by more on firm fruit (an estimate; on
apples of some 80 N users differ by 13 to 18 N, on ripe fruit by far less)."""


@dataclass(frozen=True, slots=True)
class AgeRow:
    """Of the fruit that can ripen mean age at pick, the doubt about it, their own spread, and the
    share of all fruit that they are: ``known``. ``bands`` of one batch, None for one bell curve."""

    known: tuple[float, float, float, float]
    bands: Bands | None


@dataclass(frozen=True, slots=True)
class KnownAge:
    """The age of a batch at its pick, by the figures of ``crop``."""

    batch: Batch
    crop: CropConstants
    row: AgeRow


def ages_of(batches: Sequence[tuple[Batch, CropConstants]]) -> dict[str, KnownAge]:
    """Ages of batches, each by the figures beside it, by batch id.

    Of all that felt or read alike it is worked out once.
    """
    found: dict[str, KnownAge] = {}
    by_way: dict[str, dict[object, list[tuple[Batch, CropConstants]]]]
    by_way = {"feel": {}, "gauge": {}, "none": {}}
    for batch, crop in batches:
        # What was noted before a crop's profile was changed may mean nothing now.
        felt = crop.felt and any(batch.feel_counts or ())
        way = "gauge" if crop.probed and batch.readings else "feel" if felt else "none"
        told = {
            "feel": batch.feel_counts,
            "gauge": (batch.readings, batch.reading_unit),
            "none": None,
        }[way]
        by_way[way].setdefault((id(crop), told), []).append((batch, crop))
    for way, alike in by_way.items():
        if not alike:
            continue
        columns = _Columns([some[0] for some in alike.values()])
        age = {
            "feel": columns.from_feel,
            "gauge": columns.from_gauge,
            "none": columns.from_nothing,
        }[way]()
        ripens, age = fruit_that_ripens(age, columns.able)
        rows = np.column_stack([age.mean, age.doubt_sd, age.fruit_sd, ripens]).tolist()
        for number, (some, row) in enumerate(zip(alike.values(), rows, strict=True)):
            bands = age.bands
            mixed = bands is not None and bool(bands.part[number, 1:].any())
            own = bands.of(np.array([number])) if bands is not None and mixed else None
            known = AgeRow(tuple(row), own)
            found.update({batch.id: KnownAge(batch, crop, known) for batch, crop in some})
    return found


def bands_of(rows: Sequence[AgeRow]) -> Bands | None:
    """Bands of batches end to end; None where each is one bell curve."""
    mixed = [(line, row.bands) for line, row in enumerate(rows) if row.bands is not None]
    if not mixed:
        return None
    bells = Bands.bell(len(rows)).with_room_for(max(own.part.shape[1] for _, own in mixed))
    lines = np.array([line for line, _ in mixed], dtype=np.intp)
    return bells.put(lines, joined([own for _, own in mixed]))


class _Columns:
    """Crop constants and readings of some batches, as columns."""

    def __init__(self, batches: Sequence[tuple[Batch, CropConstants]]) -> None:
        self._batches = [batch for batch, _ in batches]
        self._crops = [crop for _, crop in batches]

    def of(self, name: str) -> Floats:
        return np.array([getattr(c, name) for c in self._crops], dtype=float)

    @property
    def able(self) -> AbleToRipen:
        """Which fruit can ripen."""
        return AbleToRipen(
            *(self.of(n) for n in ("half_n", "width_n", "half_sd", "highest_n", "lowest_n"))
        )

    @property
    def _prior(self) -> Prior:
        return Prior(self.of("maturity_age"), self.of("maturity_sd"), self.of("fruit_sd"))

    def from_feel(self) -> AgeAtPick:
        counts = np.array([b.feel_counts for b in self._batches], dtype=float)
        edges = np.array([c.feel_edges for c in self._crops], dtype=float)
        return age_from_feel(counts, edges, self.of("judgement_sd"), self._prior)

    def from_gauge(self) -> AgeAtPick:
        # A farm's hardest fruit may read beyond the ends of the usual curve: then it is at its end.
        readings = [
            np.clip([newtons(r, b.reading_unit or "N") for r in b.readings], low, high)
            for b, low, high in zip(
                self._batches, self.of("lowest_n"), self.of("highest_n"), strict=True
            )
        ]
        mean = np.array([r.mean() for r in readings])
        return age_from_readings(
            np.array([float(r.size) for r in readings]),
            mean,
            np.array([((r - m) ** 2).sum() for r, m in zip(readings, mean, strict=True)]),
            np.hypot(self.of("reading_error_n"), ERROR_OF_READING * mean),
            self.of("highest_n"),
            self.of("lowest_n"),
            self._prior,
        )

    def from_nothing(self) -> AgeAtPick:
        return age_from_nothing(self._prior)
