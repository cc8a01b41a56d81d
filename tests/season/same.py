"""Whether two projections say the same."""

from dataclasses import fields

import numpy as np

from ripenroom.season.projection import Projection, Ranged


def assert_same_projection(one: Projection, other: Projection) -> None:
    """Every column alike to a second of time."""
    assert one.batch_ids == other.batch_ids
    assert one.line_of == other.line_of
    for field in fields(Projection):
        mine, theirs = getattr(one, field.name), getattr(other, field.name)
        if isinstance(mine, Ranged):
            for part in ("low", "mid", "high"):
                _assert_alike(getattr(mine, part), getattr(theirs, part), f"{field.name}.{part}")
        elif isinstance(mine, np.ndarray):
            _assert_alike(mine, theirs, field.name)


def _assert_alike(one: np.ndarray, other: np.ndarray, name: str) -> None:
    np.testing.assert_allclose(one, other, rtol=0, atol=3e-4, err_msg=name)
