"""Expected picks in words, and those that are only likely."""

from PySide6.QtCore import QCoreApplication

from ripenroom.records.ahead import ExpectedPick
from ripenroom.records.batch import FEELS
from ripenroom.window.names import by_name, crop_name, feel_names
from ripenroom.window.session import Session


def what_is_expected(pick: ExpectedPick, session: Session) -> str:
    """``"60 Late pawpaws on Sun 4 Oct, slight give"``; without a cultivar its crop is named."""
    season, words = session.season, session.words
    crop = season.crops.get(pick.crop)
    cultivar = season.book.cultivars.get(pick.cultivar_id or "")
    what, day = cultivar.name if cultivar else crop_name(season.crops, pick.crop), pick.on
    if pick.nothing_more:
        return QCoreApplication.translate(
            "ExpectedPicks", "{what}: nothing more from {day} on"
        ).format(what=what, day=words.day(day))
    text = QCoreApplication.translate("ExpectedPicks", "{count} {what} on {day}").format(
        count=words.number(pick.count), what=what, day=words.day(day)
    )
    if crop is not None and crop.judged_by == "nothing":
        return text
    return f"{text}, {feel_names(crop)[FEELS.index(pick.feel)]}"


def expected_line(pick: ExpectedPick, session: Session) -> str:
    """All that is known of an expected pick, and whether it is over or written down already."""
    season = session.season
    place = season.book.places.get(pick.place_id)
    if pick.nothing_more:
        holds = (pick.crop, pick.cultivar_id) in season.ask.ends_of_picks()
        over = QCoreApplication.translate("ExpectedPicks", "more was picked since")
    else:
        holds = pick in season.ask.still_expected()
        over = QCoreApplication.translate("ExpectedPicks", "no longer expected")
    parts = [
        what_is_expected(pick, session),
        place.name if place and not pick.nothing_more else "",
        "" if holds else over,
        pick.note,
    ]
    return " · ".join(part for part in parts if part)


def expected_picks(session: Session) -> list[ExpectedPick]:
    """All expected picks by day, then crop."""
    book = session.season.book

    def order(pick: ExpectedPick) -> tuple[object, ...]:
        return pick.on, by_name(crop_name(session.season.crops, pick.crop)), pick.id

    return sorted(book.expected_picks.values(), key=order)


def likely_ahead(session: Session) -> list[ExpectedPick]:
    """Picks that the last days' picks make likely, by day."""
    found = session.season.ask.likely_picks()
    return sorted(found, key=lambda pick: (pick.on, pick.crop))


def likely_line(pick: ExpectedPick, session: Session) -> str:
    """``"About 30 pawpaw on Sat 3 Oct · likely, going by the last days’ picks"``."""
    return QCoreApplication.translate(
        "ExpectedPicks", "About {count} {crop} on {day} · likely, going by the last days’ picks"
    ).format(
        count=session.words.number(roughly(pick.count)),
        crop=crop_name(session.season.crops, pick.crop).lower(),
        day=session.words.day(pick.on),
    )


def likely_words(session: Session) -> list[str]:
    """``"about 190 more pawpaw by Tue 20 Oct"``, of each crop that more of is likely."""
    picks = likely_ahead(session)
    said = []
    for crop in dict.fromkeys(pick.crop for pick in picks):
        own = [pick for pick in picks if pick.crop == crop]
        said.append(
            QCoreApplication.translate(
                "ExpectedPicks", "about {count} more {crop} by {day}"
            ).format(
                count=session.words.number(roughly(sum(pick.count for pick in own))),
                crop=crop_name(session.season.crops, crop).lower(),
                day=session.words.day(own[-1].on),
            )
        )
    return said


def roughly(count: int) -> int:
    """A number as one says it who is not sure of it: 31 as 30, 187 as 190."""
    step = 1 if count < 20 else 5 if count < 100 else 10 ** (len(str(count)) - 2)
    return step * round(count / step)
