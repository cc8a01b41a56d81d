"""Published statements about a crop, each beside what the program makes of the same case.

A statement is ``FIT`` when it helped to set the profile, and then it proves nothing; it is
``CHECK`` when it did not. The error that a profile is held to is that of its worst ``CHECK``.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a statement was used for."""

    FIT = "FIT"
    CHECK = "CHECK"


@dataclass(frozen=True, slots=True)
class Statement:
    """What a source says of a crop, as an interval, and how to work out the same by the program.

    ``model`` gives a number in the statement's own unit; ``nan`` when what is said to happen never
    does. It is called, not stored, so that collecting tests does not project anything.
    """

    crop: str
    what: str
    source: str
    role: Role
    published_low: float
    published_high: float
    model: Callable[[], float]

    def error_pct(self) -> float:
        """How far the model lies outside the published interval, in percent of its middle.

        0 inside, infinite where the model says never.
        """
        model = self.model()
        if math.isnan(model):
            return math.inf
        outside = max(self.published_low - model, model - self.published_high, 0.0)
        return 100.0 * outside / ((self.published_low + self.published_high) / 2.0)


def label(statement: Statement) -> str:
    """A statement's name among test ids."""
    return f"{statement.role}: {statement.what}"
