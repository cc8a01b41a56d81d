"""What the columns of a table can mean, in words."""

from PySide6.QtCore import QCoreApplication

from ripenroom.exchange.table_in.columns import Kind
from ripenroom.window.names import feel_names


def kind_name(kind: Kind) -> str:
    """What a table holds."""
    return {
        "picks": QCoreApplication.translate("TableIn", "Picks"),
        "checks": QCoreApplication.translate("TableIn", "Checks"),
        "market days": QCoreApplication.translate("TableIn", "Market days"),
        "places": QCoreApplication.translate("TableIn", "Places"),
    }[kind]


def meaning_name(key: str) -> str:
    """What a column means."""
    feels = dict(
        zip(("hard", "slight_give", "gives", "soft", "too_soft"), feel_names(), strict=True)
    )
    if key in feels:
        return QCoreApplication.translate("TableIn", "Hand feel: {feel}").format(feel=feels[key])
    return {
        "batch": QCoreApplication.translate("TableIn", "Batch code"),
        "crop": QCoreApplication.translate("TableIn", "Crop"),
        "cultivar": QCoreApplication.translate("TableIn", "Cultivar"),
        "row": QCoreApplication.translate("TableIn", "Row of trees"),
        "picked_at": QCoreApplication.translate("TableIn", "Picked on"),
        "picked_time": QCoreApplication.translate("TableIn", "Picked at (time)"),
        "count": QCoreApplication.translate("TableIn", "Fruit"),
        "feel": QCoreApplication.translate("TableIn", "Hand feel, all in one cell"),
        "weight_kg": QCoreApplication.translate("TableIn", "Weight"),
        "readings": QCoreApplication.translate("TableIn", "Gauge readings"),
        "reading_unit": QCoreApplication.translate("TableIn", "Gauge unit"),
        "probe_mm": QCoreApplication.translate("TableIn", "Probe (mm)"),
        "pulp_c": QCoreApplication.translate("TableIn", "Fruit temperature"),
        "place": QCoreApplication.translate("TableIn", "Place"),
        "note": QCoreApplication.translate("TableIn", "Note"),
        "at": QCoreApplication.translate("TableIn", "Checked on"),
        "at_time": QCoreApplication.translate("TableIn", "Checked at (time)"),
        "market_day": QCoreApplication.translate("TableIn", "Name of the market"),
        "kind": QCoreApplication.translate("TableIn", "Kind"),
        "starts_at": QCoreApplication.translate("TableIn", "Begins on"),
        "starts_time": QCoreApplication.translate("TableIn", "Begins at (time)"),
        "eat_within_days": QCoreApplication.translate("TableIn", "Eaten within (days)"),
        "wanted": QCoreApplication.translate("TableIn", "Wanted"),
        "price": QCoreApplication.translate("TableIn", "Price of one"),
        "set_point_c": QCoreApplication.translate("TableIn", "Set point"),
        "half_cooling_h": QCoreApplication.translate("TableIn", "Half-cooling time (h)"),
        "daily_swing_k": QCoreApplication.translate("TableIn", "Daily swing (K)"),
        "capacity_crates": QCoreApplication.translate("TableIn", "Room (crates)"),
    }[key]
