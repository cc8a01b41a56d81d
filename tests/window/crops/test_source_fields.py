"""Where a figure comes from, asked in a form."""

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.refusal import Refusal
from ripenroom.window.crops.figure_source import SourceFields

PAWPAW = shipped_profiles()["pawpaw"]


@pytest.fixture
def fields(qtbot: QtBot) -> SourceFields:
    made = SourceFields(PAWPAW, {"source": "ucdavis", "note": "As told."})
    for field in made.fields.values():
        qtbot.addWidget(field)
    return made


def test_it_begins_with_what_is_there(fields: SourceFields) -> None:
    assert fields.put_into(CropDocument("")) == ("ucdavis", "As told.")
    assert fields.fields["citation"].isHidden()


def test_every_source_is_offered_after_an_estimate(fields: SourceFields) -> None:
    assert fields.source.itemText(0) == "my own estimate"
    assert fields.source.count() == len(PAWPAW.sources) + 2


def test_new_sources_get_keys_of_their_own(fields: SourceFields) -> None:
    document = CropDocument(shipped_text("pawpaw"))
    fields.source.choose("new source")
    assert not fields.fields["citation"].isHidden()
    with pytest.raises(Refusal) as refused:
        fields.put_into(document)
    assert refused.value.field == "citation"
    fields.citation.setText("One")
    first, _ = fields.put_into(document)
    fields.citation.setText("Two")
    second, _ = fields.put_into(document)
    assert first != second
    assert document.get(("sources", second)) == {"citation": "Two", "seen": True}


def test_only_what_was_worked_out_from_all_statements_can_stay_so(qtbot: QtBot) -> None:
    made = SourceFields(PAWPAW, {"source": "inferred"})
    for field in made.fields.values():
        qtbot.addWidget(field)
    assert made.source.currentText() == "all statements together"
    assert made.put_into(CropDocument("")) == ("inferred", "")
