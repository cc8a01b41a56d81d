"""What becomes of crates that a plan brings to no market day, in few words."""

from typing import TYPE_CHECKING

from ripenroom.season.plans.staying import WhyStaying
from ripenroom.season.projection import EndCause, FruitState
from ripenroom.texts import tr
from ripenroom.wording.batch_states_and_ends import end_cause_name
from ripenroom.wording.plan.itineraries import day_words
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedItinerary


class Fates:
    """Says it of the lines of a ``plan``: what holds where the crates stand, as Today does."""

    def __init__(self, plan: "Plan", reader: Reader) -> None:
        season = reader.season
        self._reader, self._projection = reader, reader.projection()
        self._why = WhyStaying(season.book, plan, self._projection, season.zone)

    def words(self, line: "PlannedItinerary") -> str:
        """``"second grade"``, ``"kept for later"``, ``"overripe from Mon 5 Oct"``, ``"cleared
        away"``."""
        if line.second_grade:
            return tr("second grade")
        if line.to_place_id is None:
            return tr("cleared away")
        if self._why.keeps(line):
            return tr("kept for later")
        closes, number = self._why.closes(line), self._projection.line_of.get(line.batch_id)
        if number is None or closes is None:
            return tr("left to itself")
        if self._projection.state[number] == FruitState.PAST:
            return tr("past since {day}").format(day=self._reader.words.day(closes))
        cause = end_cause_name(EndCause(int(self._projection.end_cause[number])))
        return tr("{why} from {day}").format(why=cause, day=day_words(closes, self._reader))
