"""Any sequence of actions, undo, redo and reopening, against plain lists in memory."""

import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from ripenroom.records.batch import Batch, Move, Treatment
from ripenroom.records.book import Book, Record
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.orchard import Cultivar, OwnCrop
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from tests.draws import draws

texts = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=20)
lines = st.text(
    st.characters(
        exclude_characters=[chr(n) for n in (*range(0x2028, 0x202F), *range(0x2066, 0x206A))],
        exclude_categories=["Cs", "Cc"],
    ),
    min_size=1,
    max_size=20,
).filter(str.strip)
figures = st.none() | st.floats(0, 20_000)
BEGAN = datetime(2026, 8, 1, tzinfo=UTC)
numbers = st.integers(0, 5)  # few, so that records are often met again


class SeasonModel(RuleBasedStateMachine):
    """``self.past`` is every state from the start to now, ``self.future`` what redo leads to."""

    @initialize()
    def create(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "model.ripenroom"
        season = SeasonDetails(
            id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
            name="Any",
            zone="Europe/Berlin",
            first_day=date(2026, 8, 1),
            units="metric",
            currency="EUR",
        )
        self.file = SeasonFile.create(self.path, season)
        self.past = [Book(season=season)]
        self.future: list[Book] = []
        self.shown = self.past[-1]

    def teardown(self) -> None:
        if hasattr(self, "file"):
            while self.past[1:]:
                self.undo()
                assert self.file.read() == self.past[-1]
            while self.future:
                self.redo()
            self.file.close()
            assert verify(self.path) == []
            self.folder.cleanup()

    def act(
        self, label: str, put: tuple[Record, ...] = (), deleted: tuple[Record, ...] = ()
    ) -> None:
        change = self.file.write(label, put, deleted)
        self.shown = self.shown.with_changes(change.put, change.deleted)
        after = self.past[-1].with_changes(put, deleted)
        if after != self.past[-1]:
            self.past.append(after)
            self.future = []

    @rule(number=numbers, name=lines, half_cooling_h=st.floats(0.1, 96))
    def save_place(self, number: int, name: str, half_cooling_h: float) -> None:
        place = Place(
            id=f"place-{number}", name=name, kind="counter", half_cooling_h=half_cooling_h
        )
        self.act("Save place", (place,))

    @rule(
        number=numbers,
        note=texts,
        weight_kg=figures,
        readings=st.lists(st.floats(1e-300, 9999.9), max_size=3).map(tuple),
        at=st.integers(-365 * 86_400, 700 * 86_400).map(lambda s: BEGAN + timedelta(seconds=s)),
    )
    def add_pick(self, number: int, at: datetime, **given: object) -> None:
        batch = Batch(
            id=f"batch-{number}",
            code="P",
            crop="pawpaw",
            count=1,
            reading_unit="lbf",
            picked_at=at,
            **given,  # type: ignore[arg-type]
        )
        places = list(self.past[-1].places)
        moves = [
            Move(id=f"move-{number}", batch_id=batch.id, at=at, place_id=place_id)
            for place_id in places[:1]
        ]
        self.act("Add pick", (*moves, batch))

    @rule(count=st.integers(1, 1000))
    def recount_all(self, count: int) -> None:
        batches = self.past[-1].batches.values()
        self.act("Recount", tuple(replace(batch, count=count) for batch in batches))

    @rule(number=numbers)
    def delete_pick(self, number: int) -> None:
        book = self.past[-1]
        gone = [b for b in book.batches.values() if b.id == f"batch-{number}"]
        moves = [m for m in book.moves.values() if m.batch_id == f"batch-{number}"]
        treatments = [t for t in book.treatments.values() if t.batch_id == f"batch-{number}"]
        self.act("Delete pick", deleted=(*gone, *moves, *treatments))

    @rule(number=numbers)
    def delete_place_with_what_waits_there(self, number: int) -> None:
        book = self.past[-1]
        gone = [p for p in book.places.values() if p.id == f"place-{number}"]
        moves = [m for m in book.moves.values() if m.place_id == f"place-{number}"]
        self.act("Delete place", deleted=(*gone, *moves))

    @rule(number=numbers, text=texts, name=lines, pace=st.floats(0.2, 5))
    def save_own_crop_and_a_cultivar_of_it(
        self, number: int, text: str, name: str, pace: float
    ) -> None:
        key = f"crop_{number}"
        cultivar = Cultivar(id=f"of-{key}", crop=key, name=name, rate_factor=pace)
        self.act("Save crop", (OwnCrop(id=key, key=key, text=text), cultivar))

    @rule(number=numbers, hours=st.floats(1, 240))
    def treat(self, number: int, hours: float) -> None:
        batches = [b for b in self.past[-1].batches.values() if b.id == f"batch-{number}"]
        self.act(
            "Treat",
            tuple(
                Treatment(id=f"of-{b.id}", batch_id=b.id, at=b.picked_at, hours=hours)
                for b in batches
            ),
        )

    @rule()
    def undo(self) -> None:
        done = self.file.undo()
        assert (done is not None) == bool(self.past[1:])
        if done is not None:
            self.shown = self.shown.with_changes(done[1].put, done[1].deleted)
            self.future.append(self.past.pop())

    @rule()
    def redo(self) -> None:
        done = self.file.redo()
        assert (done is not None) == bool(self.future)
        if done is not None:
            self.shown = self.shown.with_changes(done[1].put, done[1].deleted)
            self.past.append(self.future.pop())

    @rule()
    def reopen(self) -> None:
        self.file.close()
        self.file = SeasonFile.open(self.path)

    @invariant()
    def what_is_shown_and_what_is_stored_are_the_model(self) -> None:
        assert self.shown == self.past[-1]
        assert self.file.read() == self.past[-1]
        assert (self.file.undo_label is None) == (not self.past[1:])
        assert (self.file.redo_label is None) == (not self.future)


SeasonModel.TestCase.settings = draws(15, stateful_step_count=20)
TestSeasonModel = SeasonModel.TestCase
