"""A first-order recursion, such as pulp that goes after the air from reading to reading."""

import numpy as np

from ripenroom.science.softening import Floats

_GONE = 1e-30
"""What is kept of a value is nothing when it comes to this part of it."""


def first_order(keep: Floats, gain: Floats, first: float = 0.0) -> Floats:
    """``y[n+1] = keep[n] * y[n] + gain[n]`` from ``y[0] = first``, shape (n + 1,).

    ``keep`` lies between 0 and 1. By doubling (Hillis and Steele 1986, Data parallel algorithms,
    Communications of the ACM 29:1170-1183; from memory): each round adds to a value what twice as
    many steps before it have left, so that irregular steps cost no Python loop. Most often it ends
    after a few rounds, as what lies so far back has faded.
    """
    kept, found = keep.copy(), gain.copy()
    if found.size:
        found[0] += kept[0] * first
    step = 1
    while step < found.size and kept[step:].max() > _GONE:
        found[step:] += kept[step:] * found[:-step]
        kept[step:] *= kept[:-step]
        step *= 2
    return np.concatenate([[first], found])
