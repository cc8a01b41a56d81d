"""What the panel tells of crops that wait, are looked at, or have dates only."""

from dataclasses import replace

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.window.picks.batch_table import Column, batch_lines
from ripenroom.window.session import Session
from ripenroom.wording.batch_facts import expected, next_date, written_down
from tests.season.writing import write
from tests.window.gated import pick


def test_a_batch_that_waits_for_its_cold_says_until_when(session: Session) -> None:
    batch_id = pick(session, "anjou", warm=False)
    facts = dict(expected(session, batch_id))
    assert "% done; needs its cold until" in facts["Waits for cold"]
    warm = dict(expected(session, pick(session, "anjou", warm=True)))
    assert "move it to a cold room" in warm["Waits for cold"]


def test_a_batch_that_had_its_ethylene_says_since_when(session: Session) -> None:
    season = session.season
    batch_id = pick(session, "anjou", warm=True, days_ago=6)
    season.do(actions.batches.treat, [batch_id], 72.0, season.book.batches[batch_id].picked_at)
    assert dict(expected(session, batch_id))["Waits for cold"].startswith("done since ")


def test_other_crops_wait_for_nothing(session: Session) -> None:
    season = session.season
    for batch_id, batch in season.book.batches.items():
        if season.crops[batch.crop].gate is not None:
            continue
        assert not any("Waits" in label for label, _ in expected(session, batch_id))


def test_only_dates_and_doubtful_figures_are_told_first(session: Session) -> None:
    season = session.season
    facts = dict(expected(session, pick(session, "banana", warm=True, feel=None)))
    assert "Only dates are published" in facts[season.crops["banana"].name]
    document = CropDocument(season.crop_text("pawpaw"))
    found = {"median_pct": 55, "tenth_pct": 90, "worst_pct": 95}
    document.put(("left_out",), {"sources": 3, "statements": 9, "in_range": 7, **found})
    season.do(actions.crops.save, document.text)
    batch_id = pick(session, "pawpaw", warm=True)
    assert "at most 55\u00a0% off" in dict(expected(session, batch_id))["Pawpaw"]


def test_colours_are_named_as_the_crop_has_them(session: Session) -> None:
    names = session.season.crops["tomato"].feel.names
    batch_id = pick(session, "tomato", warm=True, feel=(0, 30, 10, 0, 0))
    facts = dict(written_down(session, batch_id))
    assert facts["Color"] == f"30 {names[1]}, 10 {names[2]}"
    assert "Hand feel" not in facts


def test_fruit_that_only_waits_here_is_not_called_never_ready(session: Session) -> None:
    facts = dict(expected(session, pick(session, "anjou", warm=False)))
    assert facts["Opens"].startswith("not in this place: it needs its cold until")
    assert "never" not in facts.values()
    assert "Ready at once on the best day" not in facts


@pytest.mark.parametrize("warm", [False, True])
def test_soft_fruit_is_not_told_to_be_unready(session: Session, warm: bool) -> None:
    """Cold or warm, a soft pawpaw may be ready at once: its range begins now."""
    batch_id = pick(session, "pawpaw", warm=warm, feel=(0, 0, 0, 2, 0), days_ago=0)
    projection = session.projection()
    line = projection.line_of[batch_id]
    assert projection.opens_h.low[line] <= projection.at_h < projection.opens_h.mid[line]
    facts = dict(expected(session, batch_id))
    assert facts["Left now"].startswith("40 · may be ready: squeeze some · ")
    assert next_date(session, batch_id).startswith("may be ready now, probably from ")
    row = next(row for row in batch_lines(session) if row.batch_id == batch_id)
    assert row.texts[Column.STATE] == "may be ready"


def test_firm_fruit_is_not_ready_yet(session: Session) -> None:
    batch_id = pick(session, "pawpaw", warm=True, feel=(0, 40, 0, 0, 0), days_ago=0)
    assert " · not ready yet · " in dict(expected(session, batch_id))["Left now"]
    assert next_date(session, batch_id).startswith("ready from ")


def test_fruit_that_was_weighed_is_about_so_many(session: Session) -> None:
    season = session.season
    batch_id = pick(session, "pawpaw", warm=True)
    batch = season.book.batches[batch_id]
    assert dict(expected(session, batch.id))["Left now"].startswith("40 ")
    season.do(actions.batches.change, replace(batch, count=None, weight_kg=8.0, feel_counts=None))
    assert dict(expected(session, batch.id))["Left now"].startswith("about ")


def test_parts_of_a_batch_and_what_it_was_part_of_are_told(session: Session) -> None:
    season = session.season
    projection = season.projection()
    batch_id = projection.batch_ids[int(projection.left.argmax())]
    whole = season.book.batches[batch_id]
    assert not {"Split from", "Split into"} & dict(written_down(session, whole.id)).keys()
    first = season.do(actions.splitting.split, whole.id, 2)
    second = season.do(actions.splitting.split, whole.id, 3)
    facts = dict(written_down(session, whole.id))
    assert facts["Split into"] == f"{first.code}, {second.code}"
    assert dict(written_down(session, first.id))["Split from"] == whole.code
    season.do(actions.batches.delete, [whole.id])
    assert "deleted" in dict(written_down(session, first.id))["Split from"]


def test_whose_figures_are_used_is_said_where_a_group_has_its_own(session: Session) -> None:
    season = session.season
    batch_id = pick(session, "kiwifruit", warm=False)
    assert "Figures used" not in dict(expected(session, batch_id))
    of_the_crop = dict(expected(session, batch_id))
    season.do(
        actions.orchard.save_cultivar,
        Cultivar(id="k", crop="kiwifruit", name="Y", crop_group="gold"),
    )
    before = season.book.batches[batch_id]
    write(season, Action("of the yellow ones", (replace(before, cultivar_id="k"),)))
    facts = dict(expected(session, batch_id))
    assert facts.pop("Figures used") == "those of the group “gold” of kiwifruit"
    assert facts != of_the_crop
