"""Records to rows and back."""

from typing import get_args

import pytest

from ripenroom.records.batch import Batch
from ripenroom.records.book import Record
from ripenroom.records.file.mapping import TABLE_NAMED, TABLE_OF, TABLES
from ripenroom.records.orchard import Row
from ripenroom.records.refusal import Refusal
from tests.records.file.conftest import Invented


def test_every_noun_has_one_table() -> None:
    assert {table.record_type for table in TABLES} == set(get_args(Record))
    assert len(TABLE_NAMED) == len(TABLES)


def test_the_id_is_the_first_column_everywhere() -> None:
    assert {table.columns[0] for table in TABLES} == {"id"}


def test_every_record_comes_back_from_its_row(every_noun: tuple[Record, ...]) -> None:
    for record in every_noun:
        table = TABLE_OF[type(record)]
        assert table.record_of((b"digest", 0, *table.row_of(record))) == record


def test_a_text_that_cannot_be_kept_is_refused_at_its_field() -> None:
    with pytest.raises(Refusal) as refused:
        TABLE_OF[Row].row_of(Row(id="r", name="\0"))
    assert refused.value.field == "name"


def test_whole_numbers_given_as_readings_become_figures(invented: Invented) -> None:
    batch = invented.batch(1, readings=(5, 7), reading_unit="N")
    assert "[5.0, 7.0]" in TABLE_OF[Batch].row_of(batch)
