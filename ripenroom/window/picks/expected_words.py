"""Expected picks in words."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.batch import FEELS
from ripenroom.season.plans.expected import still_expected
from ripenroom.window.names import by_name, crop_name, feel_names
from ripenroom.window.session import Session


def what_is_expected(pick: ExpectedPick, session: Session) -> str:
    """``"60 Late pawpaws on Sun 4 Oct, slight give"``; without a cultivar its crop is named."""
    season, words = session.season, session.words
    crop = season.crops.get(pick.crop)
    cultivar = season.book.cultivars.get(pick.cultivar_id or "")
    text = QCoreApplication.translate("ExpectedPicks", "{count} {what} on {day}").format(
        count=words.number(pick.count),
        what=cultivar.name if cultivar else crop_name(season.crops, pick.crop),
        day=words.day(pick.on),
    )
    if crop is not None and crop.judged_by == "nothing":
        return text
    return f"{text}, {feel_names(crop)[FEELS.index(pick.feel)]}"


def expected_line(pick: ExpectedPick, session: Session) -> str:
    """All that is known of an expected pick, and whether it is over or written down already."""
    season = session.season
    place = season.book.places.get(pick.place_id)
    ahead = pick in still_expected(season.book, season.now(), season.zone)
    parts = [
        what_is_expected(pick, session),
        place.name if place else "",
        "" if ahead else QCoreApplication.translate("ExpectedPicks", "no longer expected"),
        pick.note,
    ]
    return " · ".join(part for part in parts if part)


def expected_picks(session: Session) -> list[ExpectedPick]:
    """All expected picks by day, then crop."""
    book = session.season.book

    def order(pick: ExpectedPick) -> tuple[object, ...]:
        return pick.on, by_name(crop_name(session.season.crops, pick.crop)), pick.id

    return sorted(book.expected_picks.values(), key=order)
