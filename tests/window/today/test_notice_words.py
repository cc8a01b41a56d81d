"""Notices become sentences, whatever numbers they bring."""

from datetime import timedelta

import pytest

from ripenroom.season import actions
from ripenroom.season.moments import to_hours
from ripenroom.season.notices import Notice, NoticeKind
from ripenroom.window.session import Session
from ripenroom.wording.today.notices import chilling_out_range_h, headline, link, reason

BATCH_KINDS = [
    kind
    for kind in NoticeKind
    if kind not in (NoticeKind.SHORTAGE, NoticeKind.GLUT, NoticeKind.HEAT)
]


def some_batch(session: Session) -> str:
    projection = session.projection()
    return next(one for n, one in enumerate(projection.batch_ids) if projection.left[n] > 5)


def some_market(session: Session) -> str:
    days = session.season.book.market_days.values()
    return max(days, key=lambda day: day.starts_at).id


@pytest.mark.parametrize("kind", BATCH_KINDS)
@pytest.mark.parametrize("with_time", [True, False])
def test_a_batch_notice_without_values_is_still_a_sentence(
    session: Session, kind: NoticeKind, with_time: bool
) -> None:
    batch_id = some_batch(session)
    when_h = session.projection().at_h + 30.0 if with_time else None
    notice = Notice(kind, batch_id, when_h=when_h)
    said = headline(notice, session)
    assert session.season.book.batches[batch_id].code in said
    why = reason(notice, session)
    place = session.season.place_of(batch_id)
    assert place is not None
    assert place.name in why
    assert why[0] == why[0].upper()
    for broken in ("{", "}", "nan", "None", ";;", "  "):
        assert broken not in said + why
    assert link(notice) == f"batch:{batch_id}"


@pytest.mark.parametrize(
    ("kind", "values", "expected"),
    [
        (NoticeKind.CHILLING, {"left": 30.0, "used": 0.9}, "90 % of the cold it can take"),
        (
            NoticeKind.WONT_RIPEN,
            {"left": 30.0, "wont_ripen": 0.75},
            "75 % of it won’t ripen: picked too early",
        ),
        (NoticeKind.MAY_NOT_RIPEN, {"left": 30.0}, "queeze it again today"),
    ],
)
def test_values_are_told(
    session: Session, kind: NoticeKind, values: dict[str, float], expected: str
) -> None:
    notice = Notice(kind, some_batch(session), when_h=session.projection().at_h, values=values)
    assert expected in reason(notice, session)


def test_count_and_crop_come_before_the_code(session: Session) -> None:
    batch_id = some_batch(session)
    notice = Notice(
        NoticeKind.OPENS, batch_id, when_h=session.projection().at_h, values={"left": 24.0}
    )
    said = headline(notice, session)
    assert said.startswith("Ready today: 24 ")
    assert said.endswith(session.season.book.batches[batch_id].code)


def test_what_is_past_is_told_without_its_last_feel(session: Session) -> None:
    """It feels so no more: "28 avocados, hard" and "past since Wed" are two stories."""
    batch_id = next(n.batch_id for n in session.season.notices() if n.kind is NoticeKind.PAST)
    assert batch_id is not None
    felt = session.season.ask.last_felt(batch_id)
    assert felt is not None
    left = {"left": 12.0}
    assert f", {felt}, " in headline(Notice(NoticeKind.CLOSES, batch_id, values=left), session)
    assert felt not in headline(Notice(NoticeKind.PAST, batch_id, values=left), session)


def test_closing_and_opening_come_with_their_range(session: Session) -> None:
    projection, batch_id = session.projection(), some_batch(session)
    line = projection.line_of[batch_id]
    for kind, edge in (
        (NoticeKind.CLOSES, projection.closes_h),
        (NoticeKind.OPENS, projection.opens_h),
    ):
        expected = session.words.day_range(float(edge.low[line]), float(edge.high[line]))
        assert expected in reason(Notice(kind, batch_id), session)


@pytest.mark.parametrize(
    ("hours", "expected"), [(1.0, "today"), (25.0, "tomorrow"), (73.0, "Sun 4 Oct")]
)
def test_pulls_say_the_day_as_people_do(session: Session, hours: float, expected: str) -> None:
    notice = Notice(NoticeKind.PULL, some_batch(session), when_h=session.projection().at_h + hours)
    assert headline(notice, session).startswith(f"Move {expected}: ")


def test_nothing_to_come_is_told_once(session: Session) -> None:
    values = {"wanted": 80.0, "ready": 0.0, "low": 0.0, "high": 0.0}
    notice = Notice(NoticeKind.SHORTAGE, market_day_id="", crop="pawpaw", values=values)
    assert reason(notice, session) == "80 wanted; 0 will be good to sell, 80 short"


def test_cold_that_may_be_used_up_already_is_not_told_as_of_a_day_that_is_over(
    session: Session,
) -> None:
    projection, told = session.projection(), []
    for notice in session.season.notices():
        if notice.kind is not NoticeKind.CHILLING or notice.batch_id is None:
            continue
        line = projection.line_of[notice.batch_id]
        low_h, high_h = chilling_out_range_h(projection, line)
        if low_h <= projection.at_h < high_h:
            told.append((reason(notice, session), session.words.day(high_h)))
    assert told
    for said, last in told:
        assert said.endswith(f"perhaps all of it by now, else by {last}: take it out of the cold")


def test_what_closes_today_is_to_be_sold_today(session: Session) -> None:
    notice = Notice(NoticeKind.CLOSES, some_batch(session), when_h=to_hours(session.season.now()))
    assert headline(notice, session).startswith("Sell today: ")
    assert " by " not in headline(notice, session)


def test_a_shortage_tells_both_sides_with_the_range(session: Session) -> None:
    values = {"wanted": 80.0, "ready": 30.4, "low": 12.0, "high": 41.0}
    market = some_market(session)
    notice = Notice(NoticeKind.SHORTAGE, market_day_id=market, crop="pear", values=values)
    assert headline(notice, session).startswith("Too few ")
    assert session.season.book.market_days[market].name in headline(notice, session)
    assert reason(notice, session) == "80 wanted; 30 (12–41) will be good to sell, 39–68 short"
    assert link(notice) == f"market:{market}"


@pytest.mark.parametrize(
    ("low", "expected"), [(90.0, "30–100 to spare"), (40.0, "up to 100 to spare")]
)
def test_a_glut_says_what_is_to_spare_and_what_to_do(
    session: Session, low: float, expected: str
) -> None:
    values = {"wanted": 60.0, "ready": 130.0, "low": low, "high": 160.0}
    notice = Notice(
        NoticeKind.GLUT, market_day_id=some_market(session), crop="pawpaw", values=values
    )
    assert headline(notice, session).startswith("Too many pawpaws for ")
    assert expected in reason(notice, session)
    assert "Find another buyer" in reason(notice, session)


@pytest.mark.parametrize(
    ("stops", "expected"),
    [
        ({}, "25 fruit there; up to 31 °C, and 25 °C is too warm"),
        ({"stop_c": 30.0}, "25 fruit there; up to 31 °C, and ripening stops at 30 °C"),
    ],
)
def test_heat_tells_whether_ripening_only_suffers_or_stops(
    session: Session, stops: dict[str, float], expected: str
) -> None:
    values = {"left": 25.0, "warmest_c": 31.0, "limit_c": 25.0, **stops}
    place = next(iter(session.season.book.places.values()))
    notice = Notice(NoticeKind.HEAT, place_id=place.id, crop="avocado", values=values)
    assert headline(notice, session) == f"Too warm for avocados: {place.name}"
    assert reason(notice, session) == expected


def test_a_market_notice_without_values_has_no_reason(session: Session) -> None:
    notice = Notice(NoticeKind.GLUT, market_day_id=some_market(session), crop="pawpaw")
    assert reason(notice, session) == ""


def test_a_notice_about_what_is_gone_leads_nowhere_wrong(session: Session) -> None:
    assert link(Notice(NoticeKind.OPENS)) == "queue:"
    assert headline(Notice(NoticeKind.OPENS, "no such batch"), session).strip() == "Ready :"


def test_a_pull_says_where_to(session: Session) -> None:
    season, batch_id = session.season, some_batch(session)
    here = season.place_of(batch_id)
    there = next(place for place in season.book.places.values() if place != here)
    at = season.now() + timedelta(hours=20)
    season.do(actions.moves.move, [batch_id], there.id, at)
    (notice,) = [
        n for n in season.notices() if n.kind is NoticeKind.PULL and n.when_h == to_hours(at)
    ]
    assert f"to {there.name}, {session.words.moment(at)}" in reason(notice, session)
