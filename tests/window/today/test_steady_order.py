"""Lines stay where they are when they are ticked."""

from dataclasses import replace

from ripenroom.records.batch import Move
from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.window.session import Session
from ripenroom.window.today.ticking import SteadyOrder


def moved(batch_id: str) -> DayTask:
    return DayTask(DayTaskKind.MOVE, batch_id, done_record_id="m")


def test_a_ticked_line_keeps_its_place(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    a, b, c = (DayTask(DayTaskKind.CHECK, key) for key in list(book.batches)[:3])
    checked = DayTask(DayTaskKind.CHECK, a.record_id, done_record_id="c")
    assert order.of([a, b, c], book) == (a, b, c)
    assert order.of([c, b, checked], book) == (checked, b, c)
    assert order.of([c, a, b], book) == (a, b, c)


def test_a_check_that_is_done_stays_with_those_among_which_it_was_asked_for(
    session: Session,
) -> None:
    book, order = session.season.book, SteadyOrder()
    key = next(iter(book.batches))
    first = DayTask(DayTaskKind.CHECK_FIRST, key)
    move = DayTask(DayTaskKind.MOVE, key)
    order.of([first, move], book)
    done = DayTask(DayTaskKind.CHECK, key, done_record_id="c")
    assert order.of([move, done], book) == (replace(done, kind=first.kind), move)
    assert SteadyOrder().of([move, done], book) == (move, done)


def test_moves_that_are_still_to_be_made_keep_the_order_in_which_they_fit(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    a, b, c = (DayTask(DayTaskKind.MOVE, key) for key in list(book.batches)[:3])
    assert order.of([a, b, c], book) == (a, b, c)
    assert order.of([b, c, moved(a.record_id)], book) == (moved(a.record_id), b, c)
    # The plan that was made since wants them otherwise.
    assert order.of([c, b, moved(a.record_id)], book) == (moved(a.record_id), c, b)
    assert order.of([c, a, b], book) == (c, a, b)


def test_a_part_keeps_the_place_of_its_whole(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    first, second = list(book.batches.values())[:2]
    part = replace(first, id="part", split_from=first.id)
    with_part = replace(book, batches={**book.batches, "part": part})
    a, b = DayTask(DayTaskKind.MOVE, first.id), DayTask(DayTaskKind.MOVE, second.id)
    order.of([a, b], book)
    assert order.of([b, moved("part")], with_part) == (moved("part"), b)


def test_of_two_moves_of_one_batch_the_one_that_was_ticked_keeps_its_line(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    key = next(iter(book.batches))
    here, there, elsewhere = list(book.places)[:3]

    def to(place_id: str) -> DayTask:
        step = PlannedMove(session.season.now(), place_id)
        line = PlannedItinerary(key, 1, here, step.at, place_id, None, 0.0, 0.0, steps=(step,))
        return DayTask(DayTaskKind.MOVE, key, (line,))

    for ticked, other in ((there, elsewhere), (elsewhere, there)):
        order = SteadyOrder()
        order.of([to(there), to(elsewhere)], book)
        made = Move(id="m", batch_id=key, at=session.season.now(), place_id=ticked)
        with_move = replace(book, moves={**book.moves, "m": made})
        found = order.of([to(other), moved(key)], with_move)
        assert found.index(moved(key)) == (there, elsewhere).index(ticked)


def test_kinds_come_in_the_order_of_the_sheet(session: Session) -> None:
    book = session.season.book
    pack, move = DayTask(DayTaskKind.PACK, "x"), DayTask(DayTaskKind.MOVE, "x")
    assert SteadyOrder().of([pack, move], book) == (move, pack)
