"""What is believed of figures before any statement is read."""

import numpy as np
import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.statement import BASE_OF
from tests.fits.priors import Prior, prior_of
from tests.records.crop.made import COLOURED, HELD, WINTER

SHIPPED = {key: prior_of(CropDocument(shipped_text(key))) for key in sorted(shipped_profiles())}

ALL_RIPENS = ("wont_ripen", "half")
"""A mark beyond the firmest fruit says that all of it ripens: no age is as early."""


def all_ripens(document: CropDocument) -> bool:
    half, highest = (document.table(path) for path in (ALL_RIPENS, ("firmness", "highest")))
    half_n, highest_n = (
        float(str(figure["value"])) * BASE_OF[str(figure["unit"])] for figure in (half, highest)
    )
    return half_n >= highest_n


@pytest.fixture(params=SHIPPED)
def crop(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def sd(prior: Prior, *path: str | int) -> float:
    at = prior.paths.index(path)
    return float(np.sqrt(prior.covariance[at, at]))


def test_every_crop_has_a_proper_prior(crop: str) -> None:
    prior = SHIPPED[crop]
    count = len(prior.paths)
    assert count > 0
    assert len(set(prior.paths)) == len(prior.scales) == count
    assert prior.mean.shape == prior.pace.shape == (count,)
    assert np.isfinite(prior.mean).all()
    assert prior.covariance == pytest.approx(prior.covariance.T)
    # Well away from singular: precision is worked out by inverting it.
    assert np.linalg.eigvalsh(prior.covariance)[0] > 1e-3


def test_every_figure_of_a_prior_is_in_the_profile_and_comes_back_from_its_scale(
    crop: str,
) -> None:
    prior, document = SHIPPED[crop], CropDocument(shipped_text(crop))
    for path, scale in zip(prior.paths, prior.scales, strict=True):
        table = document.table(path)
        value = float(str(table["value"]))
        if path == ALL_RIPENS and all_ripens(document):
            continue
        assert scale.back(scale.to(value)) == pytest.approx(value, rel=0.02, abs=0.006), path
        assert float(str(table["low"])) <= value <= float(str(table["high"])), path


def test_no_shipped_pace_lies_beyond_what_is_believed_possible(crop: str) -> None:
    """Priors are of soft fruit in general and weak: nothing that ships is four sds away."""
    prior, document = SHIPPED[crop], CropDocument(shipped_text(crop))
    for n in np.flatnonzero(prior.pace):
        at = prior.scales[n].to(float(str(document.table(prior.paths[n])["value"])))
        assert abs(at - prior.mean[n]) < 4.0 * np.sqrt(prior.covariance[n, n]), prior.paths[n]


def test_a_table_is_a_line_nearby_points_go_together() -> None:
    prior = prior_of(CropDocument(WINTER))
    at_0, at_10 = (prior.paths.index(("gate", "needs", n, "days")) for n in (0, 1))
    # The need of cold falls by three tenths (log) in 10 K, around thirty days at 5 C.
    assert prior.mean[at_0] - prior.mean[at_10] == pytest.approx(0.3)
    assert 0.5 * (prior.mean[at_0] + prior.mean[at_10]) == pytest.approx(np.log(30.0))
    correlation = prior.covariance[at_0, at_10] / (
        sd(prior, "gate", "needs", 0, "days") * sd(prior, "gate", "needs", 1, "days")
    )
    assert 0.5 < correlation < 1.0


def test_figures_of_different_kinds_are_believed_apart_and_marks_together() -> None:
    prior = prior_of(CropDocument(WINTER))
    speed, ready, too_soft = (
        prior.paths.index(path)
        for path in (("rate", "speed"), ("firmness", "ready"), ("firmness", "too_soft"))
    )
    assert prior.covariance[speed, ready] == 0.0
    assert prior.covariance[ready, too_soft] > 0.0


def test_marks_are_believed_where_firmness_is_what_is_judged() -> None:
    assert ("firmness", "ready") in prior_of(CropDocument(WINTER)).paths
    for text in (COLOURED, HELD):
        assert ("firmness", "ready") not in prior_of(CropDocument(text)).paths
    assert ("rate", "by_temperature", 1, "speed") in prior_of(CropDocument(COLOURED)).paths
    assert ("ripening", "days", 0, "days") in prior_of(CropDocument(HELD)).paths


def test_marks_come_in_the_order_in_which_fruit_softens() -> None:
    """Whatever the unit: marks are believed as ages."""
    prior = prior_of(CropDocument(WINTER))
    marks = [ALL_RIPENS, ("firmness", "ready"), ("firmness", "too_soft")]
    means = [prior.mean[prior.paths.index(path)] for path in marks]
    assert means == sorted(means)


def test_what_words_mean_is_set_by_hand(crop: str) -> None:
    """Days from a feel are published too rarely to tell a feel from a pace."""
    assert not [path for path in SHIPPED[crop].paths if path[0] == "feel"]


def test_paces_differ_between_farms_and_marks_do_not() -> None:
    prior = prior_of(CropDocument(WINTER))
    pace = dict(zip(prior.paths, prior.pace, strict=True))
    assert pace["rate", "speed"]
    assert pace["storage", "life", 0, "days"]
    assert not pace["rate", "activation"]
    assert not pace["firmness", "ready"]


def test_some_figures_only_keep_what_is_believed_of_them() -> None:
    prior = prior_of(CropDocument(WINTER))
    which = np.array([4, 1])
    some = prior.of(which)
    assert some.paths == (prior.paths[4], prior.paths[1])
    assert some.mean.tolist() == prior.mean[which].tolist()
    assert some.covariance[0, 1] == prior.covariance[4, 1]
    assert some.covariance[1, 1] == prior.covariance[1, 1]


def test_weeks_are_believed_of_as_days_are() -> None:
    """The same profile, its storage life told in weeks."""
    in_days = CropDocument(shipped_text("apple"))
    in_weeks = CropDocument(shipped_text("apple"))
    first = ("storage", "life", 0, "days")
    table = in_weeks.table(first)
    for end in ("low", "value", "high"):
        in_weeks.put((*first, end), float(str(table[end])) / 7.0)
    in_weeks.put((*first, "unit"), "weeks")
    one, other = prior_of(in_days), prior_of(in_weeks)
    assert one.mean == pytest.approx(other.mean)
    at = one.paths.index(first)
    days, weeks = (float(str(document.table(first)["value"])) for document in (in_days, in_weeks))
    assert weeks == pytest.approx(days / 7.0)
    assert one.scales[at].to(days) == pytest.approx(other.scales[at].to(weeks))
    assert other.scales[at].back(other.scales[at].to(weeks)) == pytest.approx(weeks)
