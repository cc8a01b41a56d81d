"""Two copies of a season come together: what is taken over, what is asked, what is never lost."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.batch import Batch, Removal
from ripenroom.records.book import Book, missing_references
from ripenroom.records.market import SecondGrade, Want
from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.merging import Merge, meet
from tests.season.conftest import Open
from tests.season.farm import COLD, NOW, UNUSED, batch_and_move, book_of, farm_records, market

ONE, MOVE = batch_and_move(1)
BASE = book_of(*farm_records(), ONE, MOVE)


def test_equal_copies_have_nothing_to_settle() -> None:
    meeting = meet(BASE, BASE, BASE)
    assert meeting.conflicts == ()
    assert meeting.together({}) == BASE
    assert meeting.changes({}) == ()


def test_what_only_one_side_did_is_taken_over() -> None:
    two, move_two = batch_and_move(2)
    three, move_three = batch_and_move(3)
    mine = BASE.with_changes([two, move_two, replace(ONE, note="mine")])
    theirs = BASE.with_changes(
        [three, move_three], [BASE.places[UNUSED], BASE.set_points["set unused"]]
    )
    meeting = meet(BASE, mine, theirs)
    assert meeting.conflicts == ()
    both = meeting.together({})
    assert both == mine.with_changes(
        [three, move_three], [BASE.places[UNUSED], BASE.set_points["set unused"]]
    )
    assert meet(BASE, theirs, mine).together({}) == both


def test_two_fields_of_one_record_changed_apart_both_count() -> None:
    mine = BASE.with_changes([replace(ONE, note="soft on one side")])
    theirs = BASE.with_changes([replace(ONE, pulp_c=21.0)])
    meeting = meet(BASE, mine, theirs)
    assert meeting.conflicts == ()
    assert meeting.together({}).batches[ONE.id] == replace(
        ONE, note="soft on one side", pulp_c=21.0
    )


def test_one_field_changed_differently_is_asked() -> None:
    mine = BASE.with_changes([replace(ONE, count=19, note="same")])
    theirs = BASE.with_changes([replace(ONE, count=18, note="same")])
    meeting = meet(BASE, mine, theirs)
    [conflict] = meeting.conflicts
    assert conflict.differs_in == ("count",)
    assert conflict.record == mine.batches[ONE.id]
    assert meeting.together({}) == mine
    assert meeting.together({conflict.key: "theirs"}) == theirs


def test_two_changes_that_do_not_go_together_are_asked() -> None:
    sample = replace(ONE, feel_counts=(0, 10, 0, 0, 0))
    base = BASE.with_changes([sample])
    mine = base.with_changes([replace(sample, count=12)])
    theirs = base.with_changes([replace(sample, feel_counts=(0, 15, 0, 0, 0))])
    meeting = meet(base, mine, theirs)
    [conflict] = meeting.conflicts
    assert conflict.differs_in == ("count", "feel_counts")
    assert meeting.together({}) == mine
    assert meeting.together({conflict.key: "theirs"}) == theirs


def test_changed_here_and_deleted_there_is_asked() -> None:
    mine = BASE.with_changes([replace(ONE, count=19)])
    theirs = BASE.with_changes((), [MOVE, ONE])
    meeting = meet(BASE, mine, theirs)
    [conflict] = meeting.conflicts
    assert (conflict.mine, conflict.theirs) == (mine.batches[ONE.id], None)
    assert meeting.together({conflict.key: "theirs"}) == theirs
    # The batch stays, and with it the move that the other side took away.
    assert meeting.together({}) == mine


def test_what_hangs_on_a_record_goes_the_way_that_was_chosen_for_it() -> None:
    sold = Removal(id="sold", batch_id=ONE.id, at=NOW, count=3, outcome="sold")
    mine = BASE.with_changes([replace(ONE, note="mine"), sold])
    theirs = BASE.with_changes((), [MOVE, ONE])
    meeting = meet(BASE, mine, theirs)
    assert meeting.together({}) == mine
    assert meeting.together({ONE.id: "theirs"}) == theirs
    turned = meet(BASE, theirs, mine)
    assert turned.together({}) == theirs
    assert turned.together({ONE.id: "theirs"}) == mine


def test_what_the_other_side_needs_comes_back() -> None:
    mine = BASE.with_changes((), [BASE.places[UNUSED], BASE.set_points["set unused"]])
    two, move_two = batch_and_move(2, place_id=UNUSED)
    both = meet(BASE, mine, BASE.with_changes([two, move_two])).together({})
    assert both.places[UNUSED] == BASE.places[UNUSED]
    assert list(missing_references(both)) == []


def test_one_code_for_two_picks_is_given_once() -> None:
    here, move_here = batch_and_move(2, code="P-0930-2")
    there, move_there = batch_and_move(3, code="P-0930-2")
    both = meet(
        BASE, BASE.with_changes([here, move_here]), BASE.with_changes([there, move_there])
    ).together({})
    assert [b.code for b in both.batches.values()] == ["P-0930-1", "P-0930-2", "P-0930-3"]
    assert both.batches[here.id].code == "P-0930-2"


def test_without_a_common_past_nothing_is_deleted_and_differences_are_asked() -> None:
    two, move_two = batch_and_move(2)
    mine = BASE.with_changes([replace(ONE, count=19)], [BASE.places[UNUSED]])
    theirs = BASE.with_changes([two, move_two])
    meeting = meet(None, mine, theirs)
    assert [c.differs_in for c in meeting.conflicts] == [("count",)]
    both = meeting.together({})
    assert set(both.batches) == {ONE.id, two.id}
    assert UNUSED in both.places


_EDITS = st.lists(
    st.tuples(st.integers(0, 5), st.sampled_from(["put", "note", "count", "delete"])), max_size=8
)


def edited(book: Book, edits: list[tuple[int, str]], by: str) -> Book:
    for number, what in edits:
        batch, move = batch_and_move(number, place_id=COLD)
        there = book.batches.get(batch.id)
        if what == "put" and there is None:
            book = book.with_changes([batch, move])
        elif what == "delete" and there is not None:
            book = book.with_changes((), [book.moves[move.id], there])
        elif there is not None:
            given: dict[str, object] = {"note": by} if what == "note" else {"count": len(by)}
            book = book.with_changes([replace(there, **given)])  # type: ignore[arg-type]
    return book


@given(_EDITS, _EDITS)
def test_whatever_was_done_the_book_is_whole_and_no_change_of_one_side_is_lost(
    here: list[tuple[int, str]], there: list[tuple[int, str]]
) -> None:
    mine, theirs = edited(BASE, here, "mine"), edited(BASE, there, "theirs")
    meeting = meet(BASE, mine, theirs)
    other = meet(BASE, theirs, mine)
    asked = {c.key for c in meeting.conflicts}
    assert asked == {c.key for c in other.conflicts}
    both = meeting.together({})
    assert list(missing_references(both)) == []
    for key in mine.batches.keys() | theirs.batches.keys() | BASE.batches.keys():
        old, ours, others = (b.batches.get(key) for b in (BASE, mine, theirs))
        if ours != old and others == old:
            assert both.batches.get(key) == ours
        if others != old and ours == old and isinstance(others, Batch):
            found = both.batches[key]
            assert replace(found, code=others.code) == others
    flipped = dict.fromkeys(asked, "theirs")
    assert set(meeting.together(flipped).batches) == set(other.together({}).batches)  # type: ignore[arg-type]
    assert isinstance(next(iter(both.places.values())), Place)


# Amounts by weight and by box

DAY, (WANT,) = market(3, {"pawpaw": 30})
BY_POUND = replace(WANT, sold_by="lb", amount=15.0, unit_price_minor=300, count=30, price_minor=150)
BY_BOX = replace(
    WANT, sold_by="box", amount=3.0, unit_price_minor=2000, fruit_per_box=12, count=36,
    price_minor=167,
)  # fmt: skip


def met(old: Want, mine: Want, theirs: Want) -> Merge:
    before = BASE.with_changes([DAY, old])
    return meet(before, before.with_changes([mine]), before.with_changes([theirs]))


def test_an_amount_here_and_a_price_there_both_count() -> None:
    more = replace(BY_POUND, amount=20.0, count=40)
    dearer = replace(BY_POUND, unit_price_minor=350, price_minor=175)
    for mine, theirs in ((more, dearer), (dearer, more)):
        meeting = met(BY_POUND, mine, theirs)
        assert meeting.conflicts == ()
        found = meeting.together({}).wants[WANT.id]
        assert (found.sold_by, found.amount, found.unit_price_minor) == ("lb", 20.0, 350)


def test_numbers_of_fruit_that_follow_from_a_weight_are_not_asked_about() -> None:
    more = replace(BY_POUND, amount=20.0, count=40)
    heavier = replace(BY_POUND, count=25, price_minor=180)  # the crop's fruit weigh more there
    for mine, theirs in ((more, heavier), (heavier, more)):
        meeting = met(BY_POUND, mine, theirs)
        assert meeting.conflicts == ()
        assert meeting.together({}).wants[WANT.id].amount == 20.0


def test_a_unit_here_and_an_amount_of_the_old_unit_there_are_asked_about() -> None:
    # 15 lb are 30 fruit, so that the number of fruit is the same: it must not join their 40.
    more = replace(WANT, count=40)
    meeting = met(WANT, BY_POUND, more)
    [conflict] = meeting.conflicts
    assert set(conflict.differs_in) == {
        "sold_by",
        "count",
        "amount",
        "unit_price_minor",
    }
    assert meeting.together({}).wants[WANT.id] == BY_POUND
    assert meeting.together({WANT.id: "theirs"}).wants[WANT.id] == more


def test_a_unit_on_one_side_comes_with_all_that_is_given_by_it() -> None:
    for mine, theirs in ((BY_BOX, BY_POUND), (BY_POUND, BY_BOX)):
        meeting = met(BY_POUND, mine, theirs)
        assert meeting.conflicts == ()
        assert meeting.together({}).wants[WANT.id] == BY_BOX


def test_two_different_amounts_are_asked_about_as_they_were_typed() -> None:
    meeting = met(BY_POUND, replace(BY_POUND, amount=20.0), replace(BY_POUND, amount=10.0))
    [conflict] = meeting.conflicts
    assert conflict.differs_in == ("amount",)


def test_of_second_grade_given_by_weight_the_same_holds() -> None:
    old = SecondGrade(
        id="grade", crop="pawpaw", price_minor=50, fruit_per_day=20, sold_by="kg",
        amount_per_day=5.0, unit_price_minor=200,
    )  # fmt: skip
    before = BASE.with_changes([old])
    more = replace(old, amount_per_day=8.0, fruit_per_day=32)
    dearer = replace(old, unit_price_minor=240, price_minor=60)
    meeting = meet(before, before.with_changes([more]), before.with_changes([dearer]))
    assert meeting.conflicts == ()
    found = meeting.together({}).second_grades["grade"]
    assert (found.amount_per_day, found.unit_price_minor) == (8.0, 240)


def test_what_came_together_is_counted_again_in_the_season(open_season: Open) -> None:
    living = open_season(*farm_records(), DAY, WANT)
    by_pound = replace(WANT, sold_by="lb", amount=15.0, unit_price_minor=300)
    living.do(actions.ahead.save_market_day, DAY, [by_pound])
    base = living.book
    fruit = base.wants[WANT.id].count
    theirs = base.with_changes([replace(base.wants[WANT.id], unit_price_minor=600)])
    living.do(actions.ahead.save_market_day, DAY, [replace(base.wants[WANT.id], amount=30.0)])
    living.do(actions.season.take_in, meet(base, living.book, theirs), {}, "copy")
    found = living.book.wants[WANT.id]
    assert (found.amount, found.unit_price_minor) == (30.0, 600)
    assert found.count in (2 * fruit - 1, 2 * fruit, 2 * fruit + 1)
    each = 600 * 30.0 / found.count
    assert found.price_minor is not None
    assert abs(found.price_minor - each) <= 0.05 * each
