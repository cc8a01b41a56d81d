"""What is known of every batch, as columns: one line each."""

from dataclasses import dataclass, fields

from ripenroom.science.bands import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class LearnedDoubts:
    """What checks leave of doubts that are no longer independent; shape (batches,).

    ``known_h`` is when a batch was last checked (h; its pick if it never was). The others are
    covariances: of its mean age at pick with the log of its rate and with the activation energy
    (kJ/mol), and of these two. ``spread_sd`` is the sd of the log of how its fruit differ.
    """

    known_h: Floats
    age_rate: Floats
    age_slope: Floats
    rate_slope: Floats
    spread_sd: Floats

    def of(self, lines: Indices | slice) -> "LearnedDoubts":
        """The columns of some batches only."""
        return LearnedDoubts(*(getattr(self, f.name)[lines] for f in fields(LearnedDoubts)))


@dataclass(frozen=True, slots=True)
class BatchAges:
    """What is known of each batch, one line each; ages and spreads dimensionless.

    Ages are those of the fruit that can ripen, the share ``ripens`` of all.

    ``rate_per_day`` is age per reference day; ``rate_sd`` the sd of its log; ``slope_sd`` the sd
    of the activation energy (kJ/mol); ``doubt_sd`` that of the mean age; ``fruit_sd`` the fruit's
    own. ``picked_h`` in hours. Without ``checked`` the doubts are independent; without ``bands``
    fruit differ as one bell curve.
    """

    picked_h: Floats
    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    rate_per_day: Floats
    rate_sd: Floats
    slope_sd: Floats
    ready_age: Floats
    too_soft_age: Floats
    ripens: Floats
    checked: LearnedDoubts | None = None
    bands: Bands | None = None

    def of(self, lines: Indices | slice) -> "BatchAges":
        """The columns of some batches only."""
        columns = {f.name: getattr(self, f.name) for f in fields(BatchAges)}
        checked, bands = columns.pop("checked"), columns.pop("bands")
        return BatchAges(
            **{name: column[lines] for name, column in columns.items()},
            checked=None if checked is None else checked.of(lines),
            bands=None if bands is None else bands.of(lines),
        )

    @property
    def ages(self) -> Bands:
        """How the ages of their fruit are spread."""
        return Bands.bell(self.picked_h.size) if self.bands is None else self.bands
