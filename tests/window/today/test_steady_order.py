"""Lines stay where they are when they are ticked."""

from dataclasses import replace

from ripenroom.season.day_sheet import Deed, DeedKind
from ripenroom.window.session import Session
from ripenroom.window.today.steady_order import SteadyOrder


def moved(batch_id: str) -> Deed:
    return Deed(DeedKind.MOVE, batch_id, done_record_id="m")


def test_a_ticked_line_keeps_its_place(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    a, b, c = (Deed(DeedKind.CHECK, key) for key in list(book.batches)[:3])
    checked = Deed(DeedKind.CHECK, a.record_id, done_record_id="c")
    assert order.of([a, b, c], book) == (a, b, c)
    assert order.of([c, b, checked], book) == (checked, b, c)
    assert order.of([c, a, b], book) == (a, b, c)


def test_moves_that_are_still_to_be_made_keep_the_order_in_which_they_fit(session: Session) -> None:
    book, order = session.season.book, SteadyOrder()
    a, b, c = (Deed(DeedKind.MOVE, key) for key in list(book.batches)[:3])
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
    a, b = Deed(DeedKind.MOVE, first.id), Deed(DeedKind.MOVE, second.id)
    order.of([a, b], book)
    assert order.of([b, moved("part")], with_part) == (moved("part"), b)


def test_kinds_come_in_the_order_of_the_sheet(session: Session) -> None:
    book = session.season.book
    pack, move = Deed(DeedKind.PACK, "x"), Deed(DeedKind.MOVE, "x")
    assert SteadyOrder().of([pack, move], book) == (move, pack)
