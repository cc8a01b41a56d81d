"""The rows of trees as a table: what hung, was picked, fell and was sold, and what is to come."""

from collections.abc import Callable
from enum import IntEnum

from ripenroom.season.orchard.orchard_types import OrchardForecast, RowFacts, RowForecast
from ripenroom.texts import tr
from ripenroom.window.session import Session
from ripenroom.window.widgets.column_widths import ColumnWidth
from ripenroom.window.widgets.table import RIGHT, TableColumn
from ripenroom.wording.rows import (
    about_words,
    counted_words,
    to_pick_words,
    walk_words,
)


class Column(IntEnum):
    """The columns from the left."""

    ROW = 0
    HANGING = 1
    PICKED = 2
    FALLEN = 3
    SOLD = 4
    TO_PICK = 5
    WALK = 6


def tree_row_columns(
    session: Session, forecast: Callable[[], OrchardForecast | None]
) -> list[TableColumn[RowFacts]]:
    """The columns as :class:`Column` has them; ``forecast`` gives what is expected now.

    Where the table is narrow, what can be looked up elsewhere is left out: the walks of a row say
    what fell, Review what was sold.
    """

    def number(count: float) -> str:
        return session.words.number(count) if count else ""

    def named(line: RowFacts) -> str:
        return f"{line.row.name}\n{about_words(line, session)}"

    def to_pick(line: RowFacts) -> str:
        return to_pick_words(line, forecast_of(line, forecast()), session)

    def walk(line: RowFacts) -> str:
        return walk_words(line, forecast(), session)

    def counted(line: RowFacts) -> str:
        return counted_words(line, session.words)

    def fallen(line: RowFacts) -> str:
        return session.words.number(line.on_ground) if line.walks else ""

    return [
        TableColumn(tr("Row"), named),
        TableColumn(tr("Counted"), counted, align=RIGHT),
        TableColumn(
            tr("Picked"),
            lambda line: number(line.tally.picked),
            align=RIGHT,
            width=ColumnWidth(left_out=2),
        ),
        TableColumn(tr("Fallen"), fallen, align=RIGHT, width=ColumnWidth(left_out=0)),
        TableColumn(
            tr("Sold"),
            lambda line: number(line.tally.sold + line.tally.second),
            align=RIGHT,
            width=ColumnWidth(left_out=1),
        ),
        TableColumn(tr("To pick"), to_pick),
        TableColumn(tr("Walk"), walk),
    ]


def forecast_of(line: RowFacts, forecast: OrchardForecast | None) -> RowForecast | None:
    """What is expected of a row."""
    return forecast.of_row(line.row.id) if forecast else None
