"""The season's batches as lines of a table."""

import pytest

from ripenroom.season import actions
from ripenroom.window.picks.batch_rows import Column, batch_lines, holds
from ripenroom.window.session import Session
from ripenroom.wording.formats import NEVER
from tests.window.conftest import UNKNOWN_CROP, UNPLACED


def test_every_batch_has_one_line_with_all_columns(session: Session) -> None:
    lines = batch_lines(session)
    assert {line.batch_id for line in lines} == set(session.season.book.batches)
    for line in lines:
        assert len(line.texts) == len(line.keys) == len(Column)
        assert line.texts[Column.CODE] == session.season.book.batches[line.batch_id].code


@pytest.mark.usefixtures("with_unforeseen")
def test_batches_of_which_nothing_can_be_said_are_listed_too(session: Session) -> None:
    lines = {line.batch_id: line for line in batch_lines(session)}
    assert lines.keys() == session.season.book.batches.keys()
    unknown, unplaced = lines[UNKNOWN_CROP], lines[UNPLACED]
    assert unknown.texts[Column.CROP] == "moonfruit"
    assert unplaced.texts[Column.PLACE] == ""
    for line in (unknown, unplaced):
        assert line.state is None
        assert not line.is_empty
        for column in (Column.LEFT, Column.STATE, Column.OPENS, Column.CLOSES):
            assert line.texts[column] == NEVER


def test_what_is_left_counts_sales(session: Session) -> None:
    line = next(line for line in batch_lines(session) if not line.is_empty)
    left = int(line.texts[Column.LEFT])
    session.season.do(actions.batches.take_out, line.batch_id, left, "sold", session.season.now())
    after = next(one for one in batch_lines(session) if one.batch_id == line.batch_id)
    assert after.is_empty
    assert not holds("", with_empty=False)(after)
    assert holds("", with_empty=True)(after)


def test_every_typed_word_must_match_somewhere(session: Session) -> None:
    lines = batch_lines(session)
    line = lines[0]
    code, place = line.texts[Column.CODE], line.texts[Column.PLACE]
    assert holds(f"{code.lower()} {place.upper()}", with_empty=True)(line)
    assert not any(map(holds(f"{code} nowhere", with_empty=True), lines))
