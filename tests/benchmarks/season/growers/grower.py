"""What a grower is asked in the course of a day."""

from collections.abc import Mapping
from typing import Protocol

from tests.benchmarks.season.truth.store import Store
from tests.benchmarks.season.truth.year import Market, Pick


class Grower(Protocol):
    """One way to run a season; it has its own :class:`Store` from the start."""

    store: Store

    def sell(self, number: int, market: Market) -> None:
        """It is the morning of a market."""

    def picked(self, pick: Pick) -> None:
        """Fruit was picked and has to stand somewhere."""

    def cleared(self, rotten: Mapping[int, int]) -> None:
        """So many rotten fruit of lots were thrown away before the evening."""

    def plan_evening(self) -> None:
        """Half an hour is left before the evening's moves."""

    def move(self) -> None:
        """It is the evening: crates are moved now."""

    def close(self) -> None:
        """The season is over."""
