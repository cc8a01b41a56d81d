"""The packing list of a market day."""

from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.window.paper.packing_list import list_html, packing_lines
from ripenroom.window.session import Session
from ripenroom.wording.plan.itineraries import fruit_words
from tests.worked_out import plan_of


def next_market(session: Session) -> str:
    days = session.season.book.market_days.values()
    ahead = (day for day in days if day.starts_at > session.season.now())
    return min(ahead, key=lambda day: day.starts_at).id


def test_everything_that_goes_is_on_the_list_crop_by_crop(session: Session) -> None:
    plan = plan_of(session.season)
    day = next_market(session)
    lines = packing_lines(session, plan, day)
    planned = [x for x in plan.lines if x.market_day_id == day]
    assert sum(line.crates for line in lines) == sum(x.crates for x in planned)
    crops = [line.crop for line in lines]
    assert crops == sorted(crops)
    html = list_html(session, plan, day)
    for line in planned:
        code = session.season.book.batches[line.batch_id].code
        assert html.index(f"<b>{fruit_words(line, session)}</b>") < html.index(f">{code}<")
    assert html.count("☐") == len([x for x in planned if not x.packed])
    assert sum(line.fruit for line in lines) == pytest.approx(
        sum(x.fruit for x in planned), abs=len(planned)
    )
    for want in session.season.book.wants.values():
        if want.market_day_id == day:
            assert f"{want.count} are wanted" in html


def test_without_a_plan_or_fruit_the_list_says_so(session: Session) -> None:
    html = list_html(session, None, next_market(session))
    assert "Nothing is planned" in html
    assert "☐" not in html


def test_names_are_texts_and_no_markup(session: Session) -> None:
    season = session.season
    day = season.book.market_days[next_market(session)]
    wants = [w for w in season.book.wants.values() if w.market_day_id == day.id]
    season.do(
        actions.ahead.save_market_day, replace(day, name="<b>Fair</b>", note="<img src=x>"), wants
    )
    html = list_html(session, None, day.id)
    assert "<img" not in html
    assert "&lt;b&gt;Fair" in html


def test_packed_crates_are_ticked_and_picks_to_come_say_their_day(session: Session) -> None:
    season, day_id = session.season, next_market(session)
    plan = plan_of(season)
    line = next(x for x in plan.lines if x.market_day_id == day_id and x.batch_id)
    to_come = ExpectedPick(
        id="to come",
        crop="pawpaw",
        on=season.now().date() + timedelta(days=2),
        count=40,
        place_id=line.from_place_id,
    )
    season.do(actions.ahead.save_expected_pick, to_come)
    packed = replace(line, packed=True)
    picked = replace(line, batch_id="", expected_pick_id="to come", fruit=40.0)
    gone = replace(line, batch_id="no longer there")
    found = packing_lines(session, of(plan, packed, picked, gone), day_id)
    assert {(x.packed, "to be picked" in x.code) for x in found} == {(True, False), (False, True)}
    assert "40 more are planned, still to be picked." in list_html(
        session, of(plan, picked), day_id
    )
    html = list_html(session, of(plan, packed), day_id)
    assert "still to be picked" not in html
    assert html.count("☑") == 1
    assert "☐" not in html


def test_what_to_open_next_stands_below_in_its_order(session: Session) -> None:
    season, day = session.season, next_market(session)
    plan = plan_of(season)
    packing = season.ask.packing_list(day, plan)
    assert any(crop.open_next for crop in packing.crops)
    html = list_html(session, plan, day)
    for crop in packing.crops:
        if not crop.open_next:
            continue
        name = season.crops[crop.crop].name
        _, _, below = html.partition(
            f"{name}. If too few are good to sell, open next, in this order:"
        )
        codes = [season.book.batches[line.batch_id].code for line in crop.open_next]
        places = [
            below.index(f"<td class='code'>{code}<", below.index(f"<td>{n}.</td>"))
            for n, code in enumerate(codes, start=1)
        ]
        assert places == sorted(places)
        for at, line in zip(places, crop.open_next, strict=True):
            # Where it will stand then, as the plan moves it before.
            here = season.book.places[line.moved_to_id or line.place_id].name
            row = below[below.rindex("<tr>", 0, at) : at]
            assert f"<td>{here}</td>" in row
        ready = crop.ready
        assert f"About {ready.mid:.0f} of them (" in html


def test_what_stands_packed_is_counted_on_top(session: Session) -> None:
    season, day = session.season, next_market(session)
    batch_id = season.ask.packing_list(day, plan_of(season)).crops[0].take[0].batch_id
    season.do(actions.packing.pack_squeezed, day, [Squeezed(batch_id, 3, 1, 0)], season.now())
    assert " 3 packed." in list_html(session, plan_of(season), day)


def of(plan: Plan, *lines: PlannedItinerary) -> Plan:
    return replace(plan, lines=lines)
