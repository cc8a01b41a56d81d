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
    copies,
    counted,
    crops,
    details,
    lessons,
    market_days,
    moves,
    orchard,
    outcomes,
    packing,
    picks,
    pins,
    places,
    settling,
    splitting,
    table_import,
    table_rows,
    temperature_logs,
    treatments,
    walks,
    weather,
)
from ripenroom.season.actions.action import Action

__all__ = [
    "Action",
    "ahead",
    "batches",
    "carrying",
    "checks",
    "copies",
    "counted",
    "crops",
    "details",
    "lessons",
    "market_days",
    "moves",
    "orchard",
    "outcomes",
    "packing",
    "picks",
    "pins",
    "places",
    "settling",
    "splitting",
    "table_import",
    "table_rows",
    "temperature_logs",
    "treatments",
    "walks",
    "weather",
]
