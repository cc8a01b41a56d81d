"""What holds of crops of which only dates are known, whatever the dates are."""

from itertools import pairwise

import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.outside.crate import FOR_GOOD, follow

CROPS = [key for key, crop in shipped_profiles().items() if crop.judged_by == "nothing"]


@pytest.mark.parametrize("crop", ["apple", "fig", "kiwiberry", "quince"])
@pytest.mark.parametrize("celsius", [0.0, 12.0, 25.0])
def test_fruit_that_is_eaten_as_picked_is_ready_at_once(crop: str, celsius: float) -> None:
    """Handbooks pick them when they are fit to eat (common practice, no source)."""
    opens = follow(crop, [(celsius, FOR_GOOD)]).opens
    assert opens.mid == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("crop", [crop for crop in CROPS if crop not in ("banana", "plantain")])
def test_warmth_never_lengthens_what_is_left(crop: str) -> None:
    """From the best storage upwards, within a day or a twentieth. Green bananas and plantains are
    left out: how long they can be stored says when to ripen them, and not that they end.
    """
    temperatures_c = (shipped_profiles()[crop].storage.best_high_c, 20.0, 25.0, 30.0)
    kept = [follow(crop, [(celsius, FOR_GOOD)]).closes.mid for celsius in temperatures_c]
    for cooler, warmer in pairwise(kept):
        assert warmer <= cooler + max(1.0, 0.05 * cooler)
