"""What checks taught, put into the columns of batches."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.science.able import with_odds_times
from ripenroom.science.bands import Bands
from ripenroom.science.batches import BatchAges, Checked
from ripenroom.science.blocks import joined
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.kinds import CropKind

if TYPE_CHECKING:
    from ripenroom.season.belief import CultivarRate, LearnedPosterior


def believed(
    book_has: BatchAges,
    book: Book,
    batches: Sequence[Batch],
    constants: ConstantsOfCrops,
    belief: "LearnedPosterior",
) -> BatchAges:
    """The columns of ``batches`` with what is believed of them over what the book has."""
    factor = {key: cultivar.rate_factor for key, cultivar in book.cultivars.items()}
    known: dict[tuple[str, str | None], tuple[CropKind, CultivarRate | None]] = {}
    columns = np.column_stack(
        [
            book_has.rate_per_day,
            book_has.rate_sd,
            book_has.slope_sd,
            np.zeros((len(batches), 2)),
        ]
    )
    ages = np.column_stack(
        [book_has.mean_age, book_has.doubt_sd, book_has.fruit_sd, np.zeros((len(batches), 2))]
    )
    known_h, ripens = book_has.picked_h.copy(), book_has.ripens.copy()
    log_odds = np.zeros(len(batches))
    own_bands: dict[int, Bands] = {}
    for line, batch in enumerate(batches):
        key = batch.crop, batch.cultivar_id
        if key not in known:
            kind = constants.kind_of(*key, book)
            own = factor.get(batch.cultivar_id or "", 1.0)
            known[key] = kind, belief.pace_of(kind, batch.cultivar_id, own)
        kind, pace = known[key]
        if pace is None:
            continue
        columns[line] = (
            constants[kind].rate_per_day * np.exp(pace.log_rate),
            pace.log_rate_sd,
            pace.slope_sd,
            pace.rate_slope,
            pace.spread_sd,
        )
        if kind in belief.able:
            log_odds[line] = belief.able[kind].log_odds
        age = belief.age_of(batch, kind)
        if age is None:
            ages[line, 2] *= pace.spread
        else:
            ages[line] = age.mean_age, age.doubt_sd, age.fruit_sd, age.age_rate, age.age_slope
            known_h[line] = age.known_h
            if age.bands is not None and age.ripens is not None:
                own_bands[line], ripens[line] = age.bands, age.ripens
                log_odds[line] = 0.0
    rate, rate_sd, slope_sd, rate_slope, spread_sd = columns.T
    mean, doubt, fruit_sd, age_rate, age_slope = ages.T
    return replace(
        book_has,
        mean_age=mean,
        doubt_sd=doubt,
        fruit_sd=fruit_sd,
        rate_per_day=rate,
        rate_sd=rate_sd,
        slope_sd=slope_sd,
        ripens=np.where(log_odds == 0.0, ripens, with_odds_times(ripens, np.exp(log_odds))),
        checked=Checked(known_h, age_rate, age_slope, rate_slope, spread_sd),
        bands=_with_bands(book_has, own_bands),
    )


def _with_bands(book_has: BatchAges, own: Mapping[int, Bands]) -> Bands | None:
    """The bands of all batches, of which some have those of their ``own``, by line."""
    if not own:
        return book_has.bands
    most = max(book_has.ages.part.shape[1], *(bands.part.shape[1] for bands in own.values()))
    whole = book_has.ages.with_room_for(most)
    lines = np.array(list(own), dtype=np.intp)
    return whole.put(lines, joined([bands.with_room_for(most) for bands in own.values()]))
