"""Actions of the user, a file a subject; ``Season.do`` carries them out.

Every function is pure: of a season's state it makes an
:class:`~ripenroom.season.actions.action.Action`, or with it what whoever asked goes on with, such
as the batch that is new. Or it raises :class:`~ripenroom.records.refusal.Refusal`, which names the
field. Nothing is written here.
"""

from ripenroom.season.actions import (
    ahead,
    batches,
    carrying,
    checks,
    crops,
    lessons,
    moves,
    orchard,
    outcomes,
    packing,
    picks,
    pins,
    places,
    season,
    settling,
    splitting,
    table_import,
    table_rows,
    weather,
)
from ripenroom.season.actions.action import Action, field_of

__all__ = [
    "Action",
    "ahead",
    "batches",
    "carrying",
    "checks",
    "crops",
    "field_of",
    "lessons",
    "moves",
    "orchard",
    "outcomes",
    "packing",
    "picks",
    "pins",
    "places",
    "season",
    "settling",
    "splitting",
    "table_import",
    "table_rows",
    "weather",
]
