"""What was counted and not written down, kept until the batch is checked again."""

import json
from dataclasses import asdict, dataclass

from PySide6.QtCore import QSettings

from ripenroom.records.batch import FeelCounts


@dataclass(frozen=True, slots=True)
class Draft:
    """One check; only the latest is kept, for each season."""

    batch_id: str
    feel_counts: FeelCounts | None
    readings: str
    note: str

    @staticmethod
    def kept(settings: QSettings, season_id: str) -> "Draft | None":
        """The draft that was kept; None if there is none, or none that can be read."""
        try:
            facts = json.loads(str(settings.value(_key(season_id), "")))
            counts = facts["feel_counts"]
            a, b, c, d, e = (int(n) for n in counts or (0, 0, 0, 0, 0))
            return Draft(
                str(facts["batch_id"]),
                (a, b, c, d, e) if counts else None,
                str(facts["readings"]),
                str(facts["note"]),
            )
        except (ValueError, KeyError, TypeError):
            return None

    def keep(self, settings: QSettings, season_id: str) -> None:
        """Keep it, unless it says nothing."""
        if self.feel_counts or self.readings.strip():
            settings.setValue(_key(season_id), json.dumps(asdict(self)))
        else:
            Draft.forget(settings, season_id)

    @staticmethod
    def forget(settings: QSettings, season_id: str) -> None:
        """Drop what was kept: it is written down."""
        settings.remove(_key(season_id))


def _key(season_id: str) -> str:
    return f"check_draft/{season_id}"
