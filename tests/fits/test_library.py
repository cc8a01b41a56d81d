"""The crop library is what the statements say: figures and errors were made by ``tests.fits``."""

from collections.abc import Mapping
from functools import cache

import numpy as np
import pytest

from ripenroom.records.crop.document import CropDocument, dotted
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.section import ESTIMATE, INFERRED
from ripenroom.records.crop.statement import Asks
from ripenroom.records.crop.statement_file import shipped_statements
from tests.fits.crop_model import CropModel
from tests.fits.effects import Fit, fitted
from tests.fits.learned import doubt_left
from tests.fits.left_out import left_out, summary
from tests.fits.priors import prior_of
from tests.fits.spreads import kept_spreads
from tests.fits.written import figures_of

CROPS = sorted(shipped_profiles())

EVERYDAY = ("fig", "kiwiberry", "mango", "quince")
"""Crops whose fits are run every day; those of all together take minutes."""

NEAR_SDS = 0.5
"""A search that begins at the figures of the last one may end this far from them: dates are the
earliest of several ends, and such bends have more than one top near each other."""


HIGHER = 2.0
"""Log of the posterior by which a search from elsewhere may end higher: no more than rounding to
three digits takes from figures that lie at a cliff."""

TOLD = 0.9
"""Part of the prior's sd beyond which a figure is the prior's and none that was inferred."""


@cache
def model(crop: str) -> CropModel:
    whole = CropModel.of(crop, shipped_text(crop), shipped_statements(crop))
    return whole.with_figures(np.flatnonzero(whole.inferred))


@cache
def fit(crop: str) -> Fit:
    """From the figures that are written: two steps, which go nowhere if they are the likeliest."""
    return fitted(model(crop), kept_spreads(), leaps=0, steps=2)


def figures_are_what_all_statements_say(crop: str) -> None:
    """If this fails: ``python -m tests.fits --write``, and look at what moved."""
    found = fit(crop)
    written = found.model.written()
    assert found.model.prior.paths
    off = np.abs(found.figures - written) / found.sds
    assert dict(zip(map(dotted, found.model.prior.paths), off, strict=True)) == pytest.approx(
        dict.fromkeys(map(dotted, found.model.prior.paths), 0.0), abs=NEAR_SDS
    )


def ranges_are_those_of_the_posterior(crop: str) -> None:
    document = CropDocument(shipped_text(crop))
    for path, (low, value, high) in figures_of(fit(crop)).items():
        table = document.table(path)
        written = [float(str(table[end])) for end in ("low", "value", "high")]
        # Where values moved within the above their ranges move with them.
        ratios = [written[2] / written[1], written[1] / max(written[0], 1e-9)]
        assert ratios == pytest.approx([high / value, value / max(low, 1e-9)], rel=0.3), path


def what_is_inferred_was_told_by_statements(crop: str) -> None:
    document = CropDocument(shipped_text(crop))
    left = dict(zip(model(crop).prior.paths, doubt_left(fit(crop)), strict=True))
    for path in prior_of(document).paths:
        source = document.table(path)["source"]
        if source == INFERRED:
            assert left.get(path, 1.0) < TOLD, dotted(path)
        elif source == ESTIMATE:
            assert document.table(path)["note"], dotted(path)


def nothing_likelier_is_found_from_the_prior(crop: str) -> None:
    """Beyond a cliff, to which no slope leads from what is written."""
    elsewhere = fitted(model(crop), kept_spreads(), model(crop).prior.mean)
    assert elsewhere.log_posterior < fit(crop).log_posterior + HIGHER


def errors_are_of_all_sources(crop: str) -> None:
    told = shipped_profiles()[crop].left_out
    assert told is not None
    known = model(crop)
    cases = [s for s in known.statements[: known.published] if s.asks is not Asks.FIGURE]
    assert told.statements == len(cases) > 0
    assert told.sources == len({one.source for one in cases})


@pytest.mark.parametrize(
    "crop",
    [c if c in EVERYDAY else pytest.param(c, marks=pytest.mark.long) for c in CROPS],
)
def test_a_profile_is_what_its_statements_say(crop: str) -> None:
    """All of a crop in one test, since its fit takes seconds."""
    figures_are_what_all_statements_say(crop)
    ranges_are_those_of_the_posterior(crop)
    what_is_inferred_was_told_by_statements(crop)
    nothing_likelier_is_found_from_the_prior(crop)
    errors_are_of_all_sources(crop)


@pytest.mark.long
@pytest.mark.parametrize("crop", ["fig", "quince"])
def test_errors_are_those_of_each_source_left_out(crop: str) -> None:
    """Of two small crops; the others take as long as all other tests of this module together."""
    told = shipped_profiles()[crop].left_out
    found = summary(left_out(fit(crop)))
    assert told is not None
    assert found.median_pct == pytest.approx(told.median_pct, abs=3.0)
    assert found.tenth_pct == pytest.approx(told.tenth_pct, rel=0.1)
    assert found.in_range == pytest.approx(told.in_range, abs=1)


@pytest.mark.parametrize("crop", CROPS)
def test_a_published_figure_is_one_that_the_profile_has(crop: str) -> None:
    document = CropDocument(shipped_text(crop))
    for one in shipped_statements(crop):
        if one.asks is Asks.FIGURE:
            found = document.get(one.figure)
            assert isinstance(found, int | float) or "value" in document.table(one.figure), one


def test_ranges_hold_about_as_many_left_out_statements_as_they_say() -> None:
    """80 % ranges, so about 80 % of statements from sources that a crop did not know."""
    told = [crop.left_out for crop in shipped_profiles().values() if crop.left_out]
    share = sum(one.in_range for one in told) / sum(one.statements for one in told)
    assert 0.74 < share < 0.86


def test_there_are_many_sources_and_hardly_any_serves_two_lines_for_one_claim() -> None:
    by_crop: Mapping[str, int] = {crop: len(shipped_statements(crop)) for crop in CROPS}
    assert sum(by_crop.values()) > 600
    for crop in CROPS:
        claims = [
            (s.source, s.words, s.group, s.low, s.high, s.note) for s in shipped_statements(crop)
        ]
        assert len(set(claims)) == len(claims), crop
