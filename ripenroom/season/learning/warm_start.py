"""What the next fit need not work out again; it changes no answer."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.learning.posterior import Posterior
from ripenroom.season.learning.input import LearningInput
from ripenroom.season.projector import Projector


@dataclass(frozen=True, slots=True)
class WarmStart:
    """What the next fit can go on from: idle projectors, shared by all fits that followed from one
    another, what was ``asked`` last, and the ``posteriors`` of its rounds."""

    crops: Mapping[str, CropProfile]
    zone: ZoneInfo
    idle: list[Projector] = field(default_factory=list)
    asked: LearningInput | None = None
    posteriors: tuple[Posterior, ...] = ()

    @contextmanager
    def projector(self) -> Iterator[Projector]:
        """A projector that is this fit's alone meanwhile."""
        try:
            projector = self.idle.pop()
        except IndexError:
            projector = Projector(self.crops, self.zone)
        try:
            yield projector
        finally:
            self.idle.append(projector)
