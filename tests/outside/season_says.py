"""What an opened season says of one batch on a journey, for tests that know the truth."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import new_id
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import PickEntry
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.batch_columns import BookOutlook
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Projection, Ranged
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from tests.outside.drawn_fruit import Ages
from tests.outside.true_pulp import Floats, Journey

PICKED_AT = datetime(2025, 9, 10, 14, tzinfo=UTC)
ZONE = "America/New_York"


@dataclass(frozen=True, slots=True)
class Says:
    """Everything the season says of its only batch; hours are counted from the pick."""

    profile: CropProfile
    projector: Projector
    outlook: BookOutlook

    @property
    def ages(self) -> Ages:
        """What the season takes the batch's fruit for when picked."""
        batches = self.outlook.lines.batches
        mean, doubt, fruit, ripens = (
            float(column[0])
            for column in (batches.mean_age, batches.doubt_sd, batches.fruit_sd, batches.ripens)
        )
        return Ages(mean, doubt, fruit, ripens)

    def projection(self, hour: float = 0.0) -> Projection:
        """The projection as on that hour."""
        return self.projector.projection(self.outlook, PICKED_AT + timedelta(hours=hour))

    def expected(self, hours: Floats) -> tuple[Floats, Floats]:
        """Expected shares (ready, past) of all fruit."""
        ready, past = self.outlook.shares(to_hours(PICKED_AT) + hours)
        return ready[0], past[0]

    def as_estimated(self, hours: Floats) -> tuple[Floats, Floats]:
        """Shares (ready, past) of all fruit if all estimates hold."""
        ready, past = self.outlook.shares_as_estimated(to_hours(PICKED_AT) + hours)
        return ready[0], past[0]

    def in_supply(self, hours: Floats) -> Floats:
        """1 while no allowance is used up, else 0."""
        return np.asarray(self.outlook.in_supply(to_hours(PICKED_AT) + hours)[0])

    def chilling_used(self, hours: Floats) -> Floats:
        """Share of the chilling allowance used by each hour."""
        return np.array([float(self.projection(h).chilling_used[0]) for h in hours.tolist()])

    @staticmethod
    def hour_of(dates: Ranged) -> float:
        """The best estimate of a date."""
        return Says.hour_of_column(dates.mid)

    @staticmethod
    def hour_of_column(column: Floats) -> float:
        """A date of the only batch."""
        return float(column[0]) - to_hours(PICKED_AT)


def season_says(
    crop: str,
    journey: Journey,
    *,
    feel_counts: tuple[int, int, int, int, int] | None = None,
    readings_n: Sequence[float] = (),
    profile: CropProfile | None = None,
) -> Says:
    """A season with one batch of 20 fruit, kept together, sent along the journey.

    It goes by ``profile``, if another than the shipped one of the crop is given.
    """
    with TemporaryDirectory() as folder:
        living = Season.create(Path(folder) / "true.ripenroom", _season())
        try:
            _carry(living, crop, journey, feel_counts, readings_n)
            book, profiles = living.book, dict(living.crops)
        finally:
            living.close()
    own = profile or shipped_profiles()[crop]
    projector = Projector({**profiles, crop: own}, ZoneInfo(ZONE))
    return Says(own, projector, projector.outlook(book, PICKED_AT))


def _season() -> SeasonDetails:
    return SeasonDetails(
        id=new_id(),
        name="True fruit",
        zone=ZONE,
        first_day=date(2025, 8, 1),
        units="metric",
        currency="USD",
        practice_now=PICKED_AT,
    )


def _carry(
    living: Season,
    crop: str,
    journey: Journey,
    feel_counts: tuple[int, int, int, int, int] | None,
    readings_n: Sequence[float],
) -> None:
    """Save a place for each air temperature, the pick and its moves."""
    airs = sorted({air for _, air in journey.stays})
    for air in airs:
        place = Place(
            id=str(air), name=f"At {air}", kind="cold room", half_cooling_h=journey.half_cooling_h
        )
        living.do(actions.places.save, place, air)
    entry = PickEntry(
        crop=crop,
        place_id=str(journey.stays[0][1]),
        picked_at=PICKED_AT,
        count=20,
        feel_counts=feel_counts,
        readings=tuple(readings_n),
        reading_unit="N" if readings_n else None,
        probe_mm=8.0 if readings_n else None,
        pulp_c=journey.pulp_c,
        split_by_feel=False,
    )
    (batch,) = living.do(actions.picks.add, entry)
    for begins_h, air in journey.stays[1:]:
        living.do(actions.moves.move, [batch.id], str(air), PICKED_AT + timedelta(hours=begins_h))
