"""Reports of places, each kept until its air, its crops or their profiles change."""

from collections.abc import Mapping

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.actions.places import require_place
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.kinds import CropKind
from ripenroom.season.room_report import RoomReport, room_report
from ripenroom.season.rooms import Schedule, schedules
from ripenroom.season.state import SeasonState

_Kept = tuple[Schedule, tuple[str, ...], Mapping[str, CropProfile], RoomReport | None]


class RoomReports:
    """Of one season; its state comes with each question."""

    def __init__(self) -> None:
        self._reports: dict[tuple[str, str | None], _Kept] = {}

    def of(self, state: SeasonState, place_id: str, crop: str | None = None) -> RoomReport | None:
        """What a place's logs tell; None without any.

        Ageing is told for ``crop``, or else for every crop that is or was there.
        """
        require_place(state.book, place_id)
        schedule = schedules(state.book, state.zone)[place_id]
        if not schedule.logs:
            return None
        profiles = state.crops
        crops = _crops_seen(state.book, place_id) if crop is None else (crop,)
        asked = (place_id, crop)
        kept = self._reports.get(asked)
        if kept is None or kept[:2] != (schedule, crops) or kept[2] is not profiles:
            constants = ConstantsOfCrops(profiles)
            responses = {key: constants[CropKind(key)].response for key in crops if key in profiles}
            kept = (schedule, crops, profiles, room_report(place_id, schedule, responses))
            self._reports[asked] = kept
        return kept[3]


def _crops_seen(book: Book, place_id: str) -> tuple[str, ...]:
    here = {move.batch_id for move in book.moves.values() if move.place_id == place_id}
    return tuple(sorted({book.batches[batch_id].crop for batch_id in here}))
