"""Which crops a plan has crates of."""

from typing import TYPE_CHECKING

from ripenroom.season.plans.planned import Plan

if TYPE_CHECKING:
    from ripenroom.season.living import LivingSeason


def crops_of(season: "LivingSeason", plan: Plan) -> tuple[str, ...]:
    """Keys of the crops whose picked crates a plan decides on, each once."""
    batches = season.book.batches
    ids = (line.batch_id for line in plan.lines if line.batch_id in batches)
    return tuple(dict.fromkeys(batches[batch_id].crop for batch_id in ids))
