"""The season's batches as lines of a table."""

from ripenroom.window.picks.batch_lines import Column, batch_lines, filtered, headings
from ripenroom.window.session import Session


def test_every_batch_has_one_line_with_all_columns(session: Session) -> None:
    lines = batch_lines(session)
    assert {line.batch_id for line in lines} == set(session.season.book.batches)
    assert len(headings()) == len(Column)
    for line in lines:
        assert len(line.texts) == len(line.keys) == len(Column)
        assert line.texts[Column.CODE] == session.season.book.batches[line.batch_id].code


def test_what_is_left_counts_sales(session: Session) -> None:
    line = next(line for line in batch_lines(session) if not line.is_empty)
    left = int(line.texts[Column.LEFT])
    session.season.take_out(line.batch_id, left, "sold", session.season.now())
    after = next(one for one in batch_lines(session) if one.batch_id == line.batch_id)
    assert after.is_empty
    assert after not in filtered(batch_lines(session), "", with_empty=False)
    assert after in filtered(batch_lines(session), "", with_empty=True)


def test_every_typed_word_must_match_somewhere(session: Session) -> None:
    lines = batch_lines(session)
    line = lines[0]
    code, place = line.texts[Column.CODE], line.texts[Column.PLACE]
    found = filtered(lines, f"{code.lower()} {place.upper()}", with_empty=True)
    assert line in found
    assert filtered(lines, f"{code} nowhere", with_empty=True) == []
