"""What the program says in the cases that publications speak of."""

import math

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_text
from ripenroom.season.published import WrittenCrop


def test_figures_are_in_days_newtons_and_degrees_celsius_whatever_they_are_written_in() -> None:
    document = CropDocument(shipped_text("tomato"))
    ends = {"value": 59, "low": 50, "high": 68}
    document.put(("chilling", "threshold"), {**ends, "unit": "F", "source": "ucdavis"})
    crop = WrittenCrop.of_text(document.text)
    # 50, 59 and 68 F are 10, 15 and 20 C by the scale's definition.
    assert crop.figure(("chilling", "threshold")) == pytest.approx((10.0, 15.0, 20.0))


def test_a_bare_number_is_its_own_range_and_what_is_not_there_is_nan() -> None:
    crop = WrittenCrop.of_text(shipped_text("tomato"))
    limit = crop.profile.ripening
    assert limit is not None
    assert crop.figure(("ripening", "limit_c")) == (limit.limit_c,) * 3
    assert all(math.isnan(end) for end in crop.figure(("ripening", "none")))
