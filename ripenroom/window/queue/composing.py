"""Makes the queue's scene from the season; keeps what only changes with the book."""

from typing import TYPE_CHECKING

from ripenroom.records.book import Book
from ripenroom.window.queue.batch_order import Facts, Filter, SortBy, arrange, facts_of
from ripenroom.window.queue.expected import expected_of
from ripenroom.window.queue.queue_plan import QueuePlan, planned_of
from ripenroom.window.queue.scene import Scene, bands_of
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan


class SceneMaker:
    """Scenes of one session's season."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._facts: Facts | None = None
        self._facts_of: tuple[Book, float] | None = None
        self._planned: QueuePlan | None = None
        self._planned_of: tuple[Plan, Book] | None = None

    def scene(self, sort_by: SortBy, keep: Filter) -> Scene:
        """The season as it is now."""
        season = self._session.season
        projection = season.projection()
        read_at = (season.book, projection.at_h)
        if self._facts is None or self._facts_of != read_at:
            self._facts = facts_of(season.book, projection.batch_ids, season.now(), season.crops)
            self._facts_of = read_at
        plan = self._session.plans.plan
        if plan is None:
            self._planned = None
        elif self._planned_of is None or any(
            mine is not now for mine, now in zip(self._planned_of, (plan, season.book), strict=True)
        ):
            self._planned, self._planned_of = planned_of(plan, season.book), (plan, season.book)
        return Scene(
            projection=projection,
            facts=self._facts,
            order=arrange(projection, self._facts, sort_by, keep),
            bands=bands_of(season.book, season.supply(), season.zone),
            zone=season.zone,
            crops=season.crops,
            planned=self._planned,
            expected=expected_of(season.book, season.now().date(), season.crops, keep, season.zone),
        )
