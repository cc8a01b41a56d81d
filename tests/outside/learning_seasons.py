"""Seasons whose truth is known: rates, ages and spreads are drawn, then fruit by fruit what a hand
or a gauge finds. What is learned from the records can be held to the truth.

Nothing of the inference is used here, only the crop's figures: temperatures are constant and pulp
follows at once, so the true age is a sum of products.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import expit

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import Place, SetPointChange
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.science.temperature import Response
from ripenroom.season.crop_constants import CropConstants, crop_constants
from tests.season.farm import season_record

Judged = Literal["feel", "readings"]

BEGAN = datetime(2026, 9, 1, 8, tzinfo=UTC)
PLACES_C = {"cold": 4.0, "shelf": 14.0, "room": 20.0}
PICKED_AGE, PICKED_AGE_SD = -1.2, 0.5
"""Batches are picked with give: of hard fruit most never ripens, which is no matter of rates."""

MANY = 4000
FELT, READ = 20, 8
"""Fruit squeezed or probed at a time."""


def pawpaw() -> CropProfile:
    """Pawpaw as shipped, but ended by softness alone: that is what checks tell of."""
    shipped = shipped_profiles()["pawpaw"]
    storage = replace(shipped.storage, life=())
    return replace(shipped, ripe_life=None, chilling=None, storage=storage)


@dataclass(frozen=True, slots=True)
class Truth:
    """What is so in one season; columns of batches in the order of their ids.

    Ages are those of fruit that can ripen; ``pace`` is age gained a day.
    """

    log_rate: dict[str, float]
    mean_age: Floats
    fruit_sd: Floats
    pace: Floats
    opens_h: Floats
    closes_h: Floats


@dataclass(frozen=True, slots=True)
class Plot:
    """How a season is laid out: so many batches and checks of each, judged in one way.

    Checks come by so much of the usual way from pick to too soft.
    """

    batches: int
    checks: int
    judged: Judged
    unchecked: int = 2
    places: tuple[str, ...] = tuple(PLACES_C)
    until: float = 1.0


def season(plot: Plot, seed: int) -> tuple[Book, datetime, Truth]:
    """Records of a season, the moment after its last check, and the truth."""
    rng = np.random.default_rng(seed)
    crop = crop_constants(pawpaw())
    assert isinstance(crop.response, Response)
    of_farm = rng.normal(0.0, crop.rate_sd * np.sqrt(2.0 / 3.0))
    names = ("early", "late")
    log_rate = {name: of_farm + rng.normal(0.0, crop.rate_sd * np.sqrt(1 / 3)) for name in names}
    spread = {name: crop.fruit_sd * np.exp(rng.normal(0.0, 0.3)) for name in names}
    energy = crop.response.activation_kj_mol + rng.normal(0.0, crop.slope_sd)
    response = replace(crop.response, activation_kj_mol=energy)
    number = plot.batches + plot.unchecked

    records: list[Place | SetPointChange | Cultivar | Batch | Move | Check] = []
    for key, celsius in PLACES_C.items():
        records.append(Place(id=key, name=key, kind="cold room", half_cooling_h=0.01))
        records.append(SetPointChange(id=key, place_id=key, at=BEGAN, set_point_c=celsius))
    records += [Cultivar(id=name, crop="pawpaw", name=name) for name in names]
    mean_age = rng.normal(PICKED_AGE, PICKED_AGE_SD, number)
    fruit_sd, paces, opens_h, closes_h = np.empty((4, number))
    last = BEGAN
    for n in range(number):
        name = names[n % 2]
        place = plot.places[rng.integers(len(plot.places))]
        pace = crop.rate_per_day * np.exp(log_rate[name])
        pace *= float(response.relative_rate(PLACES_C[place]))
        fruit_sd[n], paces[n] = spread[name], pace
        picked = BEGAN + timedelta(hours=int(rng.integers(0, 96)))
        batch = Batch(
            id=f"{n:03d}",
            code=f"P-{n:03d}",
            crop="pawpaw",
            cultivar_id=name,
            picked_at=picked,
            count=400,
            feel_counts=_felt(rng, crop, mean_age[n], 0.0, fruit_sd[n]),
        )
        records += [batch, Move(id=batch.id, batch_id=batch.id, at=picked, place_id=place)]
        if n < plot.batches:
            # Checks lie on the way from pick to too soft, wherever the batch waits.
            usual = crop.rate_per_day * float(crop.response.relative_rate(PLACES_C[place]))
            shares = np.sort(rng.uniform(0.2 * plot.until, plot.until, plot.checks))
            for which, share in enumerate(shares):
                days = min(share * (crop.too_soft_age - crop.maturity_age) / usual, 60.0)
                at = picked + timedelta(days=days)
                at_check = mean_age[n], pace * days, fruit_sd[n]
                check = Check(id=f"{batch.id}-{which}", batch_id=batch.id, at=at)
                if plot.judged == "feel":
                    check = replace(check, feel_counts=_felt(rng, crop, *at_check))
                else:
                    readings = _read(rng, crop, *at_check)
                    check = replace(check, readings=readings, reading_unit="N", probe_mm=8.0)
                records.append(check)
                last = max(last, at)
        picked_h = picked.timestamp() / 3600.0
        able = rng.normal(mean_age[n], fruit_sd[n], MANY)
        able = able[~_stays(rng, crop, able)]
        half, fifth = np.quantile(able, (0.5, 0.8))
        opens_h[n] = picked_h + 24.0 * (crop.ready_age - half) / pace
        closes_h[n] = picked_h + 24.0 * (crop.too_soft_age - fifth) / pace
        mean_age[n], fruit_sd[n] = able.mean(), able.std()
    book = Book(season_record()).with_changes(records)
    return book, last, Truth(log_rate, mean_age, fruit_sd, paces, opens_h, closes_h)


def _stays(rng: np.random.Generator, crop: CropConstants, ages: Floats) -> npt.NDArray[np.bool_]:
    """Which fruit of these ages at pick never ripens."""
    firmness = firmness_n_at_age(ages, crop.highest_n, crop.lowest_n)
    return rng.random(ages.size) < expit((firmness - crop.half_n) / crop.width_n)


def _ages(
    rng: np.random.Generator,
    crop: CropConstants,
    mean_age: float,
    gained: float,
    fruit_sd: float,
    fruit: int,
) -> Floats:
    """Ages of fruit taken at random; some of it never ripens and stays as it was."""
    ages = rng.normal(mean_age, fruit_sd, fruit)
    return np.where(_stays(rng, crop, ages), ages, ages + gained)


def _felt(
    rng: np.random.Generator, crop: CropConstants, mean_age: float, gained: float, fruit_sd: float
) -> FeelCounts:
    """What a hand finds, which is off by the same for all fruit."""
    ages = _ages(rng, crop, mean_age, gained, fruit_sd, FELT)
    seeming = ages + rng.normal(0.0, crop.judgement_sd)
    counts = np.bincount(np.searchsorted(crop.feel_edges, seeming), minlength=5)
    a, b, c, d, e = counts.tolist()
    return a, b, c, d, e


def _read(
    rng: np.random.Generator, crop: CropConstants, mean_age: float, gained: float, fruit_sd: float
) -> tuple[float, ...]:
    """What a gauge reads (N), with an error of its own for each fruit and one for all."""
    ages = _ages(rng, crop, mean_age, gained, fruit_sd, READ)
    firmness = firmness_n_at_age(ages, crop.highest_n, crop.lowest_n)
    error = np.hypot(crop.reading_error_n, 0.05 * firmness)
    off = 0.5 * np.hypot(crop.reading_error_n, 0.05 * firmness.mean()) * rng.standard_normal()
    read = np.maximum(firmness + error * rng.standard_normal(ages.size) + off, 0.1)
    return tuple(np.round(read, 2).tolist())
