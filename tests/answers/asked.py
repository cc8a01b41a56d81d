"""What a season is asked: everything that equations answer, from dates to plans and advice."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.science.softening import Floats
from ripenroom.season.advice.check_next import check_next
from ripenroom.season.advice.check_size import check_design
from ripenroom.season.advice.set_points import set_point_advice
from ripenroom.season.advice.what_helps import what_helps
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.crop_curves import crop_curves
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.date_shifts import taught
from ripenroom.season.forecast import Forecast
from ripenroom.season.fruit_balance import balance
from ripenroom.season.learned import CheckKind
from ripenroom.season.learning.calibration import calibration
from ripenroom.season.learning.fit import fit
from ripenroom.season.learning.lessons import lessons_from
from ripenroom.season.notices import notices
from ripenroom.season.packing import packing_list
from ripenroom.season.plans.delays import if_left
from ripenroom.season.plans.plan import Plan
from ripenroom.season.plans.plan_changes import changes_between
from ripenroom.season.plans.update import yesterday_evening, yesterdays_book
from ripenroom.season.projector import Projector
from ripenroom.season.published import WrittenCrop, said
from ripenroom.season.room_clocks import schedules
from ripenroom.season.room_report import room_report
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.season.whereabouts import moves_by_batch
from tests.season.plans.planning import make_plan

_HOURS = np.arange(0.0, 24.0 * 30.0, 17.0)
_STORIES = 6


def of_crops() -> Iterator[tuple[str, object]]:
    """The curves of every shipped crop, and what is said beside every published statement."""
    for key, profile in shipped_profiles().items():
        yield (
            f"crop {key}",
            [
                crop_curves(profile),
                crop_curves(profile, 1.3),
                said(
                    {key: WrittenCrop.of_text(shipped_text(key))},
                    [(key, statement) for statement in shipped_statements(key)],
                ),
            ],
        )


def of_season(book: Book, advice: bool = False) -> Iterator[tuple[str, object]]:
    """Named answers of a season as on its own now; ``advice`` with set points and what would help,
    for which plans are made over and over: with many crops that takes minutes."""
    now, zone, crops = book.season.practice_now, zone_of(book.season), shipped_profiles()
    assert now is not None
    now = now.astimezone(zone)
    unlearned = SeasonState(book, crops, now, zone)
    learned = fit(unlearned)
    state = replace(unlearned, learned=learned)
    yield "fit", learned
    yield "lessons", lessons_from(learned, book)
    for name, known in (("by the book", unlearned), ("learned", state)):
        forecast = Forecast()
        projection, supply = forecast.projection(known), forecast.supply(known)
        yield f"projection {name}", projection
        yield f"supply {name}", supply
        yield f"notices {name}", notices(book, crops, projection, supply)
        yield f"set point {name}", forecast.with_set_point(known, min(book.places), 9.0)
        yield f"shares {name}", _shares(Projector.of(known), book, now.timestamp() / 3600)
        moves = moves_by_batch(book)
        yield (
            f"stories {name}",
            [
                forecast.story(known, batch, moves[batch.id])
                for batch in list(book.batches.values())[:_STORIES]
            ],
        )
    yield "checks", _of_checks(state)
    yield "rooms", _of_rooms(book)
    yield "balance", balance(book, crops)
    yield "calibration", calibration(unlearned)
    plan = make_plan(state)
    yield "plan", plan
    evening = yesterday_evening(now, zone)
    then = replace(state, book=yesterdays_book(book, now, zone), now=evening)
    before = make_plan(then)
    yield "plan of yesterday", before
    yield "changes", changes_between(before, plan, book)
    again = make_plan(state, before=before)
    yield "plan kept", again
    yield from _of_plan(state, plan, advice)


def _shares(projector: Projector, book: Book, now_h: float) -> Sequence[Floats]:
    """The curves below all dates, hour by hour."""
    now = book.season.practice_now
    assert now is not None
    outlook = projector.outlook(book, now)
    hours = now_h - 24.0 * 5.0 + _HOURS
    return [
        *outlook.shares(hours),
        *outlook.shares_as_estimated(hours),
        *outlook.ready_range(hours),
        outlook.in_supply(hours),
        *outlook.temperatures_c(0, hours),
    ]


def _of_checks(state: SeasonState) -> Sequence[object]:
    """What was taught of each batch, and what squeezing more of it would tell."""
    book, now = state.book, state.now
    projector, moves = Projector.of(state), moves_by_batch(book)
    some = list(book.batches.values())[: 2 * _STORIES]
    return [
        [
            taught(state, batch.id),
            *(
                check_design(book, now, batch, moves[batch.id], projector, kind, 30)
                for kind in CheckKind
            ),
        ]
        for batch in some
        if state.crops[batch.crop].judged_by == "firmness"
    ]


def _of_rooms(book: Book) -> Sequence[object]:
    constants = ConstantsOfCrops(shipped_profiles())
    responses = {key: constants[CropKind(key)].response for key in sorted(shipped_profiles())[:5]}
    plans = schedules(book, zone_of(book.season))
    return [room_report(place_id, plan, responses) for place_id, plan in plans.items()]


def _of_plan(state: SeasonState, plan: Plan, advice: bool) -> Iterator[tuple[str, object]]:
    yield "if left", if_left(state, plan.lines)
    soonest = sorted(
        (day for day in state.book.market_days.values() if day.starts_at > state.now),
        key=lambda day: (day.starts_at, day.id),
    )
    yield "packing", [packing_list(state, day.id, plan) for day in soonest[:2]]
    yield "check next", check_next(state)
    if advice:
        yield "helps", what_helps(state)
        yield "set points", set_point_advice(state)
