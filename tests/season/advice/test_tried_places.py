"""Settings that are tried as places of their own: as if the places themselves were set so."""

import numpy as np

from ripenroom.season.advice.thermostat_settings import held_at
from ripenroom.season.advice.tried_places import TriedPlaces
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from tests.season.advice.test_set_points import COLD, CROPS, WARM, ZONE
from tests.season.advice.test_shared_itineraries import TODAY, busy_farm
from tests.season.farm import NOW

TRIED = {COLD: (TODAY[COLD], 1.0, 8.0), WARM: (TODAY[WARM], 22.0)}


def test_batches_in_twins_age_as_in_places_that_are_set_so() -> None:
    """Fruit in either room, and one batch that goes from one to the other."""
    book = busy_farm()
    projector = Projector.of(SeasonState(book, CROPS, NOW, ZONE))
    lines = projector.lines(book)
    places = TriedPlaces(book, NOW, lines, TRIED)
    every = np.arange(len(lines.ids))
    for cold, warm in ((0, 0), (1, 0), (2, 1)):
        setting = np.tile([cold, warm], (every.size, 1))
        tried = places.lines(every, setting)
        ours = projector.outlook_along(tried.lines, places.book, NOW)
        held = held_at(book, NOW, {COLD: TRIED[COLD][cold], WARM: TRIED[WARM][warm]})
        theirs = projector.outlook(held, NOW)
        np.testing.assert_allclose(ours.past_h, theirs.past_h, rtol=0.0, atol=1e-6)
        if cold or warm:
            today = projector.outlook(book, NOW)
            assert np.abs(theirs.past_h - today.past_h).max() > 1.0


def test_each_line_is_under_its_own_settings_and_was_where_it_was() -> None:
    book = busy_farm()
    lines = Projector.of(SeasonState(book, CROPS, NOW, ZONE)).lines(book)
    places = TriedPlaces(book, NOW, lines, TRIED)
    moved = lines.ids.index("batch 3")
    tried = places.lines(np.array([moved, moved, moved]), np.array([[0, 0], [0, 1], [2, 1]]))
    cold, warm = (lines.place_ids.index(key) for key in (COLD, WARM))
    names = [tried.lines.place_ids[place] for place in tried.stays.place[2].tolist()]
    assert tried.stays.place[0].tolist() == [cold, warm]
    assert tried.stays.place[1].tolist()[0] == cold
    assert [places.book.places[name].kind for name in names] == ["cold room", "ripening room"]
    assert not {COLD, WARM} & set(names)
    # A move that is thought of comes to the twin as well, and none stays none.
    to = tried.place(np.array([0, 1, 2, 2]), np.array([warm, warm, warm, -1]))
    assert to.tolist() == [warm, tried.stays.place[1, 1], tried.stays.place[2, 1], -1]
