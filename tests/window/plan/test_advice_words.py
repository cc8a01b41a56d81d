"""Advice in sentences."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.season import actions
from ripenroom.season.advice.advice import Help, HelpKind, PlaceAdvice, SetPointAdvice, WorthCurve
from ripenroom.window.plan.set_point_plot import SetPointPlot
from ripenroom.window.session import Session
from ripenroom.wording.plan.set_points import (
    curve_words,
    gain_about,
    gain_words,
    help_words,
    set_point_words,
)


@pytest.fixture
def advice(session: Session) -> PlaceAdvice:
    cold = next(p for p in session.season.book.places.values() if p.name == "Cold room")
    settings = (-1.0, 2.0, 3.0, 4.0, 5.0, 6.5)
    curve = WorthCurve(
        19.0, settings, (100.0, 900.0, 1000.0, 1000.0, 995.0, 800.0), (0.5,) * 6, (0.1,) * 6
    )
    return PlaceAdvice(
        place_id=cold.id,
        today_c=6.5,
        advised_c=5.0,
        flat_low_c=3.0,
        flat_high_c=5.0,
        colder_loses_minor=500.0,
        warmer_loses_minor=None,
        lowest_c=0.0,
        highest_c=6.0,
        lowest_crop="pawpaw",
        highest_crop="pear",
        curve=curve,
        as_it_is=curve,
    )


def test_a_set_point_with_its_flat_part(session: Session, advice: PlaceAdvice) -> None:
    assert set_point_words(advice, session) == (
        "Cold room: set it to 5.0 °C; it is at 6.5 °C. "
        "Anything from 3.0 °C to 5.0 °C does as well. "
        "A step colder loses about €5. Above 6.0 °C is too warm for pear."
    )
    fine = replace(advice, today_c=5.0, colder_loses_minor=None, warmer_loses_minor=100.0)
    assert set_point_words(fine, session) == (
        "Cold room: 5.0 °C is fine. Anything from 3.0 °C to 5.0 °C does as well. "
        "A step warmer loses about €1. Below 0.0 °C is too cold for pawpaw."
    )


def test_in_the_seasons_own_unit(session: Session, advice: PlaceAdvice) -> None:
    session.season.do(actions.season.save, replace(session.season.book.season, units="us"))
    assert "set it to 41 °F; it is at 43.7 °F" in set_point_words(advice, session)


def test_the_gain_names_its_places(session: Session, advice: PlaceAdvice) -> None:
    whole = SetPointAdvice(session.season.now(), (advice,), None, 40_000.0, 1_200.0)
    assert gain_words(whole, session) == (
        "Cold room: set as advised, the plan is worth about €12 more."
    )
    assert "would hardly bring more" in gain_words(replace(whole, gain_minor=10.0), session)
    assert gain_words(replace(whole, places=()), session).startswith("No advice yet")


def test_the_curve_is_told_to_those_who_cannot_see_it(
    session: Session, advice: PlaceAdvice
) -> None:
    said = curve_words(advice, session)
    assert said.count(";") == 5
    assert "3.0 °C: about €2 more than today, 50 % sold in time" in said
    assert "2.0 °C: about €1 more than today, " in said
    assert "-1.0 °C: about €7 less than today, " in said
    assert "6.5 °C: as much as today, " in said
    assert "other room" not in said
    # Where the other room is to be changed as well, today's own setting comes to more than today.
    both = replace(advice, curve=replace(advice.curve, other_c=23.0))
    assert curve_words(both, session) == f"{said}; all of it with the other room set as advised"
    assert [gain_about(minor, session.words) for minor in (700.0, -1_020.0, 30.0)] == [
        "+ €7",
        "− €10",
        "€0",
    ]


def test_the_plot_has_a_name_and_paints(session: Session, advice: PlaceAdvice) -> None:
    plot = SetPointPlot(session)
    plot.show_advice(advice)
    assert "Cold room" in plot.accessibleName()
    assert plot.accessibleDescription() == curve_words(advice, session)
    plot.resize(400, 200)
    drawn = plot.grab().toImage()
    colours = {drawn.pixel(x, y) for x in range(0, 400, 3) for y in range(0, 200, 3)}
    assert len(colours) > 3


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        (HelpKind.ROOM, "Cold room: room for 20 crates more until Sat 3 Oct: about €15"),
        (HelpKind.HANDS, "Hands to move 20 crates more in an evening until Sat 3 Oct: about"),
        (HelpKind.MARKET_DAY, "One more market day on Sat 3 Oct, like Quayside market, Sat 3 Oct:"),
        (HelpKind.WANTED, "Quayside market, Sat 3 Oct: 20 more pawpaws wanted: about €15"),
        (HelpKind.SECOND_GRADE, "Someone who takes second-grade pawpaw at €0.40 each: about"),
    ],
)
def test_what_would_help(session: Session, kind: HelpKind, expected: str) -> None:
    season = session.season
    cold = next(p for p in season.book.places.values() if p.name == "Cold room")
    day = min(
        (d for d in season.book.market_days.values() if d.starts_at > season.now()),
        key=lambda d: d.starts_at,
    )
    told = Help(
        kind,
        value_minor=1_500.0,
        fruit=12.0,
        amount=20,
        until=season.now() + timedelta(days=2),
        place_id=cold.id,
        market_day_id=day.id,
        crop="pawpaw",
        like_id=day.id,
        price_minor=40 if kind is HelpKind.SECOND_GRADE else None,
    )
    said = help_words(told, session)
    assert said.startswith(expected)
    assert said.endswith("as 12 fruit are sold that would be lost.")
    assert re.search(r"about €[0-9]+ more\.\Z", help_words(replace(told, fruit=0.0), session))
