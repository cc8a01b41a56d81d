"""A small table of fruit, to try the one table with."""

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor

from ripenroom.window.widgets.table import RIGHT, Table, TableColumn

NAME, COUNT, NOTE = range(3)
RISING, FALLING = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder


@dataclass(frozen=True)
class Fruit:
    name: str
    count: float | None = None
    note: str = ""


PEAR, FIG, PLUM, QUINCE = (
    Fruit("pear", 9.0, "b"),
    Fruit("Fig", 40.0, "a"),
    Fruit("plum", None, "b"),
    Fruit("quince", 9.0, "c"),
)
FRUIT = [PEAR, FIG, PLUM, QUINCE]


def columns(typed: list[tuple[Fruit, str]] | None = None) -> list[TableColumn[Fruit]]:
    def take(row: Fruit, text: str) -> None:
        assert typed is not None
        typed.append((row, text))

    return [
        TableColumn("Fruit", lambda row: row.name, heard=lambda row: f"fruit {row.name}"),
        TableColumn(
            "How many",
            lambda row: "" if row.count is None else f"{row.count:g}",
            lambda row: row.count,
            RIGHT,
            hint=lambda row: f"<b>{row.name}</b>" if row.count else None,
        ),
        TableColumn(
            "Note",
            lambda row: row.note,
            ink=lambda row: QColor("red") if row.note == "a" else None,
            take=take if typed is not None else None,
        ),
    ]


def fruit_table() -> Table[Fruit]:
    """A table of them all."""
    made = Table(columns(), id_of=lambda row: row.name)
    made.show_rows(FRUIT)
    return made
