"""Saving a changed profile from a form."""

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.refusal import Refusal
from ripenroom.window.crops.figure_source import save, whole_or_not
from ripenroom.window.session import Session


def test_a_refused_key_goes_to_the_field_that_stands_for_it(session: Session) -> None:
    document = CropDocument(session.season.crop_text("pawpaw"))
    document.put(("name",), "")
    with pytest.raises(Refusal) as refused:
        save(session.season, document, {"name": "called"}, "rest")
    assert refused.value.field == "called"
    assert refused.value.message.startswith("Needs to be some text")
    with pytest.raises(Refusal) as refused:
        save(session.season, document, {}, "rest")
    assert refused.value.field == "rest"
    assert refused.value.message.startswith("name: needs to be")


def test_a_sound_profile_is_saved(session: Session) -> None:
    document = CropDocument(session.season.crop_text("pawpaw"))
    document.put(("name",), "My pawpaw")
    assert save(session.season, document, {}, "").name == "My pawpaw"
    assert session.season.crops["pawpaw"].name == "My pawpaw"


def test_whole_numbers_are_written_whole() -> None:
    assert repr(whole_or_not(8.0)) == "8"
    assert repr(whole_or_not(8.5)) == "8.5"
