"""What a group of commands needs of the living season that it belongs to."""

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.file import Change
from ripenroom.season.changes.change import NamedChange
from ripenroom.season.state import SeasonState


class Acting(Protocol):
    """An open season: its records as they are now, and one way to change them."""

    @property
    def book(self) -> Book:
        """All records as they are now."""

    @property
    def crops(self) -> Mapping[str, CropProfile]:
        """Crop profiles by key."""

    @property
    def own_crop_keys(self) -> frozenset[str]:
        """Keys of the profiles that come from the season file."""

    @property
    def zone(self) -> ZoneInfo:
        """The season's home time zone."""

    def now(self) -> datetime:
        """The moment that counts as now, in the home zone."""

    @property
    def state(self) -> SeasonState:
        """The season as on now."""

    def act(self, change: NamedChange) -> Change:
        """Write one action to the file and tell everyone; it can be undone."""
