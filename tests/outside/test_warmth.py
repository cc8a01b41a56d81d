"""Common sense that no source needs to state: fruit never keeps longer for being kept warmer.

Where cold injures, that holds from the threshold of injury upwards; below 25 C, where heat slows
some crops down again.
"""

from itertools import pairwise, product

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from tests.draws import one_in
from tests.outside.crate import FOR_GOOD, follow

THREE_DAYS_H = 72.0
CLOCKED = [key for key, crop in shipped_profiles().items() if crop.judged_by != "nothing"]


@pytest.mark.parametrize(("key", "step_k"), one_in(15, list(product(CLOCKED, (3.0, 1.0)))))
def test_warmth_never_lengthens_what_is_left(key: str, step_k: float) -> None:
    """Fruit as it is picked, triggered where it needs that; within two fifths, since what ends it
    in the cold and in the warm comes from different sources, and storage life is claimed up to 2 K
    above its warmest temperature only: hard avocados that keep three weeks at 11 C are ripe in four
    at 12 C.
    """
    crop = shipped_profiles()[key]
    coldest_c = crop.chilling.threshold_c.value if crop.chilling else crop.storage.best_low_c
    kept = [
        follow(
            key,
            [(float(celsius), FOR_GOOD)],
            feel="hard" if crop.judged_by == "firmness" and key != "pawpaw" else "slight give",
            ethylene_h=THREE_DAYS_H if crop.gate and crop.gate.ethylene_days else 0.0,
        ).closes.mid
        for celsius in np.arange(coldest_c, 25.1, step_k)
    ]
    for cooler, warmer in pairwise(kept):
        assert warmer <= 1.4 * cooler
