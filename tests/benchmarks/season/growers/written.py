"""A season file that is kept as a grower would, through the program's own commands."""

import random
import tempfile
import uuid
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from pathlib import Path
from unittest.mock import patch
from zoneinfo import ZoneInfo

from ripenroom.records.batch import FeelCounts
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.market import MarketDay, Want
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.actions.outcomes import BatchOutcome
from ripenroom.season.season import Season
from tests.benchmarks.season.truth.year import Year

CROP = "pawpaw"
FIRST_DAY, ZONE = date(2026, 9, 1), ZoneInfo("America/New_York")
_SEASON_ID = "6d1f8a52-0c7e-4f5b-9a39-52f1c1f0a001"
_SURE = frozenset({"surprise"})


class Written:
    """The season file of a year: cultivars, places and markets first, then day by day.

    Ids of records are drawn by the year's seed while it is open: sums are taken in the order of
    ids, and a last digit can decide between plans that are worth the same.
    """

    def __init__(self, year: Year) -> None:
        bits = random.Random(year.seed).getrandbits
        self._ids = patch.object(uuid, "uuid4", lambda: uuid.UUID(int=bits(128), version=4))
        self._ids.start()
        self._folder = tempfile.TemporaryDirectory(prefix="ripenroom-season-")
        self.now = self.moment(0.0)
        season = SeasonDetails(
            id=_SEASON_ID,
            name="Yardstick",
            zone=ZONE.key,
            first_day=FIRST_DAY,
            units="metric",
            currency="USD",
        )
        path = Path(self._folder.name) / "season.ripenroom"
        self.living = Season.create(path, season, lambda: self.now)
        cultivars = [Cultivar(id=name, crop=CROP, name=name) for name in year.cultivars]
        rooms = [
            (
                Place(
                    id=str(number),
                    name=room.name,
                    kind=room.kind,  # type: ignore[arg-type]
                    half_cooling_h=room.half_cooling_h,
                    daily_swing_k=room.swing_k,
                    capacity_crates=room.crates,
                ),
                room.dial_c,
            )
            for number, room in enumerate(year.rooms)
        ]
        self.living.do(actions.season.furnish, cultivars, rooms)
        self.living.do(
            actions.ahead.save_market_days,
            [self._market(year, number) for number in range(len(year.markets))],
        )

    def close(self) -> None:
        """Close the file and delete it."""
        self._ids.stop()
        self.living.close()
        self._folder.cleanup()

    @staticmethod
    def moment(hour: float) -> datetime:
        """The moment so many hours by the clock after midnight before the first day."""
        return datetime.combine(FIRST_DAY, time(0), tzinfo=ZONE) + timedelta(hours=hour)

    def _market(self, year: Year, number: int) -> tuple[MarketDay, list[Want]]:
        market = year.markets[number]
        day = MarketDay(
            id=str(number),
            name=market.name,
            kind=market.kind,  # type: ignore[arg-type]
            starts_at=self.moment(24.0 * market.day + 7.0),
            eat_within_days=market.eat_within_days,
        )
        want = Want(
            id=f"want {number}",
            market_day_id=day.id,
            crop=CROP,
            count=market.wanted,
            price_minor=market.price_minor,
        )
        return day, [want]

    def pick(self, cultivar: str, room: int, count: int, felt: FeelCounts, pulp_c: float) -> str:
        """Write down a pick of which some fruit was felt; its batch."""
        entry = PickEntry(
            crop=CROP,
            place_id=str(room),
            picked_at=self.now,
            cultivar_id=cultivar,
            count=count,
            feel_counts=felt,
            pulp_c=pulp_c,
            split_by_feel=False,
        )
        (batch,) = self.living.do(actions.picks.add, entry)
        return batch.id

    def check(self, batch_id: str, felt: FeelCounts) -> None:
        """Write down what fruit of a batch felt like, whatever the program thinks of it."""
        entry = CheckEntry(batch_id=batch_id, at=self.now, feel_counts=felt, answered=_SURE)
        self.living.do(actions.checks.add, entry)

    def thrown(self, batch_id: str, count: int) -> None:
        """Write down that fruit was thrown away."""
        self.living.do(actions.batches.take_out, batch_id, count, "discarded", self.now)

    def sold(self, market: int, packed: Mapping[str, tuple[int, int]]) -> None:
        """Write down how many of each batch were brought to a market and sold; the rest is back
        where it was."""
        outcomes = [BatchOutcome(key, brought, sold, 0) for key, (brought, sold) in packed.items()]
        self.living.do(actions.settling.settle, str(market), outcomes, self.now, None)
