"""An outlook on the batches of a book, with the columns that say which is which."""

from dataclasses import dataclass

from ripenroom.science.outlook import BatchAgeing, Outlook
from ripenroom.season.lines import Lines


@dataclass(frozen=True)
class BookOutlook(Outlook):
    """The outlook of ``lines``, in their order."""

    lines: Lines

    @classmethod
    def along(cls, lines: Lines, travel: BatchAgeing) -> "BookOutlook":
        """What follows from how lines travel."""
        own = Outlook.of(travel)
        return cls(own.travel, own.way, own.batches, own.gaining, lines)
