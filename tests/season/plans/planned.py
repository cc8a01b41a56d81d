"""Lines of a plan as a day sheet hands them over."""

from typing import Any

from ripenroom.season.plans.plan import PlannedItinerary
from tests.season.farm import COLD


def planned(batch_id: str, crates: int, **given: Any) -> PlannedItinerary:
    """Crates that stay in the cold room, unless told otherwise."""
    facts: dict[str, Any] = {
        "batch_id": batch_id,
        "crates": crates,
        "from_place_id": COLD,
        "pull_at": None,
        "to_place_id": None,
        "market_day_id": None,
        "expected_ready_share": 0.8,
        "expected_value_minor": 1000.0,
        "pin_id": None,
        "packed": False,
        "second_grade": False,
        "expected_pick_id": None,
        "fruit": 20.0 * crates,
    }
    return PlannedItinerary(**{**facts, **given})
