"""Firmness as a function of physiological age, and back.

A fruit's physiological age ``a`` is dimensionless and 0 at the midpoint of softening. Firmness
follows the logistic ``F(a) = F_min + (F_max - F_min) / (1 + exp(a))``, the solution of the
autocatalytic equation ``dF/dt = -k (F_max - F)(F - F_min) / (F_max - F_min)`` with ``da/dt = k``
(logistic softening as in Tijskens & Polderdijk 1996, Agricultural Systems 51:171-185; cited from
memory). All arguments broadcast.
"""

import numpy as np
import numpy.typing as npt

from ripenroom.science.compiled import expit

Floats = npt.NDArray[np.float64]
FloatsLike = npt.ArrayLike
Flags = npt.NDArray[np.bool_]

_EDGE = 1e-6
"""How near to an asymptote, as a share of the range, a firmness is still told apart from it."""


def firmness_n_at_age(age: FloatsLike, highest_n: FloatsLike, lowest_n: FloatsLike) -> Floats:
    """Firmness (N) at a physiological age [-], between the asymptotes (N).

    >>> float(firmness_n_at_age(0.0, 50.0, 2.0))
    26.0
    """
    high, low = np.asarray(highest_n, float), np.asarray(lowest_n, float)
    return np.asarray(low + (high - low) * expit(-np.asarray(age, float)))


def age_from_firmness_n(
    firmness_n: FloatsLike, highest_n: FloatsLike, lowest_n: FloatsLike
) -> Floats:
    """Physiological age [-] at which a fruit has this firmness (N).

    Firmness at or beyond an asymptote is taken a millionth of the range inside it, so the age
    stays finite (about 13.8 either way).

    >>> round(float(age_from_firmness_n(26.0, 50.0, 2.0)), 12)
    0.0
    """
    high, low = np.asarray(highest_n, float), np.asarray(lowest_n, float)
    share = np.clip((np.asarray(firmness_n, float) - low) / (high - low), _EDGE, 1.0 - _EDGE)
    return np.asarray(np.log((1.0 - share) / share))
