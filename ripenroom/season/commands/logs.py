"""Commands on temperature logs, and what they tell of a place."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.temperature_log import TemperatureLog
from ripenroom.records.temperature_series import Celsius, Seconds
from ripenroom.science.logged_air import Readings
from ripenroom.season.changes.logs import add_logs, delete_log, new_log
from ripenroom.season.changes.places import require_place
from ripenroom.season.commands.acting import Acting
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.kinds import CropKind
from ripenroom.season.room_report import RoomPicture, RoomReport, room_picture, room_report
from ripenroom.season.rooms import Schedule, schedules

_Kept = tuple[Schedule, tuple[str, ...], Mapping[str, CropProfile], RoomReport | None]


@dataclass(frozen=True, slots=True)
class NewLog:
    """Readings of one probe on their way into a place: UTC seconds, increasing, and C."""

    place_id: str
    name: str
    probe: str
    times_s: Seconds
    celsius: Celsius


class LogCommands:
    """Takes logs in and out of a season, and reports of its places."""

    def __init__(self, season: Acting) -> None:
        self._season = season
        self._reports: dict[tuple[str, str | None], _Kept] = {}

    def add(
        self, place_id: str, name: str, probe: str, times_s: Seconds, celsius: Celsius
    ) -> TemperatureLog:
        """Take in the readings of one probe (UTC s, increasing; C)."""
        return self.add_all([NewLog(place_id, name, probe, times_s, celsius)])[0]

    def add_all(self, new: Sequence[NewLog]) -> tuple[TemperatureLog, ...]:
        """Take in the readings of several probes in one step; all of them or none."""
        book, now = self._season.book, self._season.now()
        logs = [
            new_log(book, log.place_id, log.name, log.probe, log.times_s, log.celsius, now)
            for log in new
        ]
        self._season.act(add_logs(book, logs))
        return tuple(logs)

    def delete(self, log_id: str) -> None:
        """Take a log out of the season."""
        self._season.act(delete_log(self._season.book, log_id))

    def of_place(self, place_id: str) -> tuple[TemperatureLog, ...]:
        """The logs of a place, earliest first."""
        logs = (g for g in self._season.book.temperature_logs.values() if g.place_id == place_id)
        return tuple(sorted(logs, key=lambda log: (log.starts_at, log.id)))

    def report(self, place_id: str, crop: str | None = None) -> RoomReport | None:
        """What a place's logs tell; None without any.

        Ageing is told for ``crop``, or else for every crop that is or was there. What was worked
        out is kept until the place's air or the crops change.
        """
        book, profiles = self._season.book, self._season.crops
        require_place(book, place_id)
        schedule = schedules(book, self._season.zone)[place_id]
        if not schedule.logs:
            return None
        crops = self._crops_seen(place_id) if crop is None else (crop,)
        asked = (place_id, crop)
        kept = self._reports.get(asked)
        if kept is None or kept[:2] != (schedule, crops) or kept[2] is not profiles:
            constants = ConstantsOfCrops(profiles)
            responses = {key: constants[CropKind(key)].response for key in crops if key in profiles}
            kept = (schedule, crops, profiles, room_report(place_id, schedule, responses))
            self._reports[asked] = kept
        return kept[3]

    def picture(self, place_id: str, times_s: Seconds, celsius: Celsius) -> RoomPicture:
        """Readings that are not taken in yet, drawn beside the set point of a place."""
        schedule = schedules(self._season.book, self._season.zone)[place_id]
        return room_picture(Readings(times_s / 3600.0, celsius).thinned(), schedule)

    def _crops_seen(self, place_id: str) -> tuple[str, ...]:
        book = self._season.book
        here = {move.batch_id for move in book.moves.values() if move.place_id == place_id}
        return tuple(sorted({book.batches[batch_id].crop for batch_id in here}))
