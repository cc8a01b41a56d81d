"""What is kept of a season's own details where not all of them can be.

A row may be as it was written and yet tell of what cannot be: a zone that nobody knows, an id that
is part of a path. Then each detail is judged by itself, and only what cannot be is replaced.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from ripenroom.records.batch import Batch
from ripenroom.records.book import Record, is_id
from ripenroom.records.file.mapping import TABLE_OF
from ripenroom.records.file.schema import RECORD_AT
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import REACH_BEFORE, out_of_reach, plain, record_from

_TABLE: Final = TABLE_OF[SeasonDetails]

ALL_DETAILS: Final = _TABLE.columns
"""The fields of a season."""


def season_of(row: Sequence[Any], columns: Sequence[str], instead: SeasonDetails) -> SeasonDetails:
    """The season that a row tells of; ``instead`` gives each detail that cannot be.

    ``columns`` are all of the row's, as a file of its version has them.
    """
    told = _told(row, columns)
    season = instead
    for name in ALL_DETAILS:
        if name in told:
            season = _with(season, name, told[name]) or season
    return season


def details_lost(
    row: Sequence[Any], columns: Sequence[str], season: SeasonDetails
) -> tuple[str, ...]:
    """The fields in which a season is not what its row tells."""
    told = _told(row, columns)
    kept = zip(ALL_DETAILS, _TABLE.row_of(season), strict=True)
    return tuple(name for name, value in kept if name in told and told[name] != value)


def fitting(season: SeasonDetails, rest: Sequence[Record]) -> SeasonDetails:
    """The season with a first day that most of its records are not far from."""
    picked = sorted(record.picked_at.date() for record in rest if isinstance(record, Batch))
    far = sum(1 for _ in out_of_reach(season, rest))
    if picked and 2 * far > len(rest):
        middle = picked[len(picked) // 2]
        season = replace(
            season, first_day=next(day for day in picked if day > middle - REACH_BEFORE)
        )
    if any(out_of_reach(season, (season,))):
        season = replace(season, practice_now=None)
    return season


def _told(row: Sequence[Any], columns: Sequence[str]) -> dict[str, Any]:
    return dict(zip(columns[RECORD_AT:], row[RECORD_AT:], strict=True))


def _with(season: SeasonDetails, name: str, stored: Any) -> SeasonDetails | None:
    """The season with one more detail as its row tells it, if it can be."""
    decode = _TABLE.codecs[name].decode
    try:
        value = decode(stored) if decode and stored is not None else stored
        season = record_from(SeasonDetails, {**plain(season), name: value})
    except (Refusal, ValueError, OverflowError, TypeError):
        return None
    # Its copies lie in a folder of the id's name, so that has to be one of ours.
    return season if is_id(season.id) else None
