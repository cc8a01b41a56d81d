"""How much fruit will be ready at each sale, and how sure that is.

The number to count on includes every uncertainty. Its range follows from what all batches of a
crop share, the doubt about their rate: when the rate is high they are all early together, so the
ranges of single batches must not be added as if they were independent.
"""

import numpy as np

from ripenroom.science.eaten import Kitchens, when_eaten
from ripenroom.science.outlook import Outlook
from ripenroom.science.softening import Floats
from ripenroom.science.spread import even_z

_LEVELS = 21
"""Equally likely levels of the shared rate; enough for the 10 and 90 % points of a smooth curve."""

_SHARED_Z = even_z(_LEVELS)


def ready_shares(
    outlook: Outlook, sold_h: Floats, eaten_days: Floats, kitchens: Kitchens
) -> tuple[Floats, Floats]:
    """Share of each batch's fruit that is ready for its buyers at each sale: as expected, (batches,
    sales), and at every level of the shared rate, (batches, sales, levels).

    Fruit counts if it is not past at ``sold_h`` (h, increasing, (sales,)), and is ready then or
    becomes ready in its buyers' kitchens within ``eaten_days`` (kinds, sales).
    """
    in_supply = outlook.in_supply(sold_h)
    expected = -outlook.shares(sold_h)[1] * in_supply
    levels = np.zeros((*expected.shape, _LEVELS))
    for part in outlook.parts():
        start = part.outlook.gained(sold_h)
        eaten = when_eaten(part, start, sold_h, eaten_days, kitchens)
        counted = part.weight * in_supply[part.lines]
        expected[part.lines] += eaten.ready(part.outlook.batches) * counted
        for level, z in enumerate(_SHARED_Z):
            beyond_ready = eaten.ready_at_rate(part.outlook.batches, float(z))
            beyond_past = part.outlook.beyond_at_rate(start, float(z))[1]
            levels[part.lines, :, level] += np.maximum(beyond_ready - beyond_past, 0.0) * counted
    return np.maximum(expected, 0.0), levels


def ready_fruit(fruit: Floats, expected: Floats, levels: Floats) -> tuple[float, float, float]:
    """Low end, expected number and high end of the ready fruit of batches that share their rate.

    ``fruit`` of each, (batches,), of which the shares ``expected``, (batches,), and ``levels``,
    (batches, levels), are ready. The range holds four cases in five.
    """
    low, high = np.quantile(fruit @ levels, (0.1, 0.9))
    ready = float(fruit @ expected)
    # A few early fruit can lift the expected number out of a narrow range; it is held in.
    return min(float(low), ready), ready, max(float(high), ready)


def ready_over_truths(
    fruit: Floats, expected: Floats, share: Floats, chance_z: Floats
) -> tuple[float, float, float]:
    """Low end, expected number and high end of the ready fruit of heaps, over sampled truths.

    Of ``fruit``, (heaps,), the share ``expected``, (heaps,), is expected to be ready, and in each
    truth ``share``, (heaps, truths). The chance in so many fruit is a binomial's, taken for Normal,
    ``chance_z`` (heaps, truths) of its sds off. The range holds four cases in five. The expected
    number is not the mean of the truths: that is some percent off it, other ones for other draws.
    """
    share, number = np.clip(share, 0.0, 1.0), fruit[:, None]
    chance = np.sqrt(number * share * (1.0 - share)) * chance_z
    total = np.clip(number * share + chance, 0.0, number).sum(axis=0)
    low, high = np.quantile(total, (0.1, 0.9))
    mid = float(fruit @ expected)
    return min(float(low), mid), mid, max(float(high), mid)
