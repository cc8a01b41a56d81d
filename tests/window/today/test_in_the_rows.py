"""What Today says of rows: what to pick by market day, which to walk, and frost that is near."""

from datetime import timedelta

from ripenroom.season import actions
from ripenroom.season.actions.weather import day_weather
from ripenroom.window.session import Session
from ripenroom.wording.rows import first_to_walk, next_walk
from ripenroom.wording.today.in_the_rows import rows_groups
from tests.season.plans.planning import plan_of


def said(session: Session) -> list[tuple[str, str, str]]:
    groups = rows_groups(session)
    return [(item.headline, item.reason, item.link) for group in groups for item in group.items]


def with_plan(session: Session) -> Session:
    session.plans.plan = plan_of(session.season, steps=50)
    return session


def test_before_the_first_plan_nothing_is_said(session: Session) -> None:
    assert rows_groups(session) == []


def test_picks_are_told_by_cultivar_and_lead_to_their_rows(session: Session) -> None:
    lines = said(with_plan(session))
    late = next(line for line in lines if "Late pawpaws" in line[0])
    assert late[0].startswith("About ")
    assert "to pick by Fri 2 Oct" in late[0]
    assert late[1] == "Wall row"
    wall = next(row for row in session.season.book.rows.values() if row.name == "Wall row")
    assert late[2] == f"rows:{wall.id}"


def test_a_row_that_is_due_is_told_with_what_a_walk_saves(session: Session) -> None:
    season = session.season
    for row in first_to_walk(season.ask.orchard(), session):
        assert row.lost[1].mid >= 2.0  # what a walk costs
    season.read_as_on(season.now() + timedelta(days=7))
    forecast = season.ask.orchard()
    due = first_to_walk(forecast, session)
    assert due
    on = next_walk(due[0], session)
    assert on is not None
    assert on <= season.state.today
    walks = [line for line in said(with_plan(session)) if line[0].startswith("Walk ")]
    names = [season.book.rows[row.row_id].name for row in due]
    assert [line[0] for line in walks] == [f"Walk {name}" for name in names[:4]]
    assert all(line[1].startswith("Today") for line in walks)


def test_frost_is_told_when_a_forecast_night_makes_it_likely(session: Session) -> None:
    with_plan(session)
    assert not any("frost" in line[0].lower() for line in said(session))
    on = session.season.state.today + timedelta(days=1)
    session.season.do(actions.weather.save_day, day_weather(on, -3.0, None, "forecast"))
    frost = next(line[0] for line in said(session) if "frost" in line[0].lower())
    assert "bring all fruit down within days" in frost
    assert "Fri 2 Oct" in frost


def test_a_season_without_counted_rows_says_nothing(session: Session) -> None:
    from dataclasses import replace

    rows = [
        replace(row, fruit_on_trees=None, branch_counts=(), branches_per_tree=None)
        for row in session.season.book.rows.values()
    ]
    session.season.do(lambda _state: actions.Action("uncount", tuple(rows)))
    assert rows_groups(with_plan(session)) == []
