"""Why a date is missing, in the few words that stand in its place."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.profile import Gate
from ripenroom.season.no_date import NoDate


def no_date_words(reason: NoDate, gate: Gate | None) -> str:
    """The reason as it stands where a day would: ``"freezes first"``."""
    return {
        NoDate.WONT_RIPEN: QCoreApplication.translate("NoDate", "won't ripen"),
        NoDate.GATE: QCoreApplication.translate("NoDate", "needs {gate} first").format(
            gate="" if gate is None else gate.name
        ),
        NoDate.CHILLING: QCoreApplication.translate("NoDate", "spoilt by cold first"),
        NoDate.STORAGE_LIFE: QCoreApplication.translate("NoDate", "stored too long first"),
        NoDate.FROST: QCoreApplication.translate("NoDate", "freezes first"),
        NoDate.TOO_COLD: QCoreApplication.translate("NoDate", "too cold to ripen here"),
    }[reason]
