"""A season as JSON: everything comes back, and nothing else gets in."""

import json
import random
from pathlib import Path
from typing import Any

import pytest

from ripenroom.exchange.season_json import json_text, read_json, write_json
from ripenroom.records.book import SHELF_OF, Book, Record
from ripenroom.records.file import SeasonFile
from ripenroom.records.refusal import Refusal
from ripenroom.season.practice import demo_book
from tests.records.file.conftest import Invented, every_noun, invented

__all__ = ["every_noun", "invented"]


@pytest.fixture(scope="module")
def demo_text() -> str:
    return json_text(demo_book())


def test_every_kind_of_record_comes_back_as_it_was(
    invented: Invented, every_noun: tuple[Record, ...], tmp_path: Path
) -> None:
    book = Book(invented.season).with_changes((*every_noun, invented.place))
    assert all(getattr(book, shelf) for shelf in SHELF_OF.values())
    write_json(book, tmp_path / "season.json")
    assert read_json(tmp_path / "season.json") == book


def test_the_practice_season_makes_the_same_season_file(demo_text: str, tmp_path: Path) -> None:
    path = tmp_path / "demo.json"
    path.write_text(demo_text, "utf-8")
    book = read_json(path)
    assert book == demo_book()
    file = SeasonFile.create(tmp_path / "demo.ripenroom", book.season, book.records())
    assert file.read() == book
    file.close()


def test_any_json_reader_finds_plain_values(demo_text: str) -> None:
    whole = json.loads(demo_text)
    assert (whole["format"], whole["version"]) == ("ripenroom season", 1)
    assert set(whole) == {"format", "version", "season", *SHELF_OF.values()}
    batch = whole["batches"][0]
    assert batch["picked_at"].endswith("Z")
    assert isinstance(batch["feel_counts"], list)


def changed(text: str, **changes: Any) -> str:
    whole = json.loads(text)
    for path, value in changes.items():
        shelf, _, field = path.partition("__")
        if field:
            (whole[shelf] if shelf == "season" else whole[shelf][0])[field] = value
        else:
            whole[shelf] = value
    return json.dumps(whole)


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"format": "something"}, "not a season"),
        ({"version": 2}, "layout 2"),
        ({"season": []}, "season must be an object"),
        ({"batches": {}}, "must be a list"),
        ({"batches": [3]}, r"batches\[0\] must be an object"),
        ({"batches__count": "many"}, r"batches\[0\], “count”: must be a whole number"),
        ({"batches__count": True}, "whole number"),
        ({"batches__count": 1.5}, "whole number"),
        ({"batches__picked_at": "2026-09-14T10:00:00"}, "time zone"),
        ({"batches__picked_at": "tomorrow"}, "picked_at"),
        ({"batches__feel_counts": [1, 2]}, "list of 5"),
        ({"batches__colour": "green"}, "no field is called “colour”"),
        ({"places__kind": "silo"}, "must be one of"),
        ({"places__half_cooling_h": "1e999"}, "must be a number"),
        ({"moves__id": None}, "must be a text"),
        ({"moves__id": "../../x"}, "must be a text that can be an id: one line"),
        ({"season__zone": "../../../etc/localtime"}, "must be the name of a time zone, such as"),
        ({"season__currency": "eur"}, "must be the three capital letters of a currency"),
        ({"season__id": "../../x"}, "season, “id”: must be a season’s id, which is a UUID"),
        ({"batches__crop": "Pawpaw!"}, "must be a crop’s key: a text of lower-case letters"),
        ({"checks__readings": [1.0] * 1001}, "1001 gauge readings; 1000 is the most"),
        ({"checks__readings": [1.0] * 100_000}, "must be a list of at most 1,000"),
        ({"checks__readings": [["1"]]}, "must be a number above 0"),
        ({"checks__readings": {}}, "must be a list of at most 1,000"),
        ({"moves__at": "0001-01-01T00:00:00+05:00"}, "not a day of any season"),
        ({"moves__at": "1999-09-14T08:30:00Z"}, "too far from the season"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(
    demo_text: str, changes: dict[str, Any], what: str, tmp_path: Path
) -> None:
    path = tmp_path / "wrong.json"
    path.write_text(changed(demo_text, **changes), "utf-8")
    with pytest.raises(Refusal, match=what):
        read_json(path)


def test_what_is_missing_or_there_twice_is_told(demo_text: str, tmp_path: Path) -> None:
    whole = json.loads(demo_text)
    path = tmp_path / "wrong.json"
    whole["batches"].append(whole["batches"][0])
    path.write_text(json.dumps(whole), "utf-8")
    with pytest.raises(Refusal, match="used before"):
        read_json(path)
    del whole["batches"][0]["code"]
    path.write_text(json.dumps(whole), "utf-8")
    with pytest.raises(Refusal, match="“code” is missing"):
        read_json(path)


@pytest.mark.parametrize(
    ("once", "twice"),
    [
        ('"checks": [', '"checks": [], "checks": ['),
        ('"checks": [', '"ch\\u0065cks": [], "checks": ['),
        ('"version": 1', '"version": 1, "version": 1'),
        ('"zone": ', '"zone": "Europe/Dublin", "zone": '),
        ('"code": ', '"code": "É-1", "code": '),
    ],
)
def test_a_member_that_is_there_twice_is_refused(
    demo_text: str, once: str, twice: str, tmp_path: Path
) -> None:
    path = tmp_path / "two.json"
    assert once in demo_text
    path.write_text(demo_text.replace(once, twice, 1), "utf-8")
    with pytest.raises(Refusal, match=r"two\.json cannot be read as JSON: a member is there twice"):
        read_json(path)


def test_a_season_with_more_values_than_any_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "many.json"
    path.write_text("[" + "1," * 3_000_000 + "1]")
    with pytest.raises(Refusal, match="more than 3000000 values"):
        read_json(path)


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"\xff\xfe{}", b"[" * 200_000, b'{"a": NaN}', b"null", b"1" * 10_000, b'"\\ud800"'],
)
def test_what_is_no_json_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "no.json"
    path.write_bytes(content)
    with pytest.raises(Refusal):
        read_json(path)
    with pytest.raises(Refusal):
        read_json(tmp_path / "missing.json")


def test_damaged_text_is_refused_or_makes_a_whole_season(demo_text: str, tmp_path: Path) -> None:
    chance = random.Random(5)
    path, target = tmp_path / "damaged.json", tmp_path / "made.ripenroom"
    refused = 0
    content = demo_text.encode()
    for _ in range(150):
        damaged = bytearray(content)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(damaged))
            damaged[at : at + chance.randint(0, 3)] = chance.choice(
                [b"", b"9", b'"', b"null", b"-", b"{}", b"\xc3", b"1e400", b","]
            )
        path.write_bytes(damaged)
        try:
            book = read_json(path)
            SeasonFile.create(target, book.season, book.records()).close()
            target.unlink()
        except Refusal:
            refused += 1
    assert refused > 75
    assert not target.exists()


@pytest.mark.parametrize(
    ("shelf", "field", "other"),
    [
        ("brought", "market_day_id", "market_days"),
        ("removals", "batch_id", "batches"),
        ("moves", "place_id", "places"),
    ],
)
def test_a_record_without_what_it_refers_to_is_named(
    demo_text: str, tmp_path: Path, shelf: str, field: str, other: str
) -> None:
    whole = json.loads(demo_text)
    whole[shelf][2][field] = "nowhere"
    path = tmp_path / "season.json"
    path.write_text(json.dumps(whole), "utf-8")
    with pytest.raises(Refusal) as caught:
        read_json(path)
    said = caught.value.message
    assert said.startswith(f"{shelf}[2], “{field}”: “{other}” has no record with the id “nowhere”")
    assert said.endswith("Add it there, or take this record out.")
