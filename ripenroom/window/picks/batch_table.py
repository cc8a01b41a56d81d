"""The batches of a season as a table: its columns, and their texts and sort keys of each batch."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from operator import attrgetter

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap

from ripenroom.records.batch import FEELS, Batch
from ripenroom.records.check import Check, last_felt
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.projection import FruitState, NoDate, Projection, Ranged, no_date
from ripenroom.season.whereabouts import places_at
from ripenroom.texts import tr
from ripenroom.window.palette import Palette, paint_mark
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.column_widths import ColumnWidth
from ripenroom.window.widgets.table import LEFT, RIGHT, TableColumn
from ripenroom.wording.batch_states_and_ends import no_date_words, state_name
from ripenroom.wording.formats import NEVER, Formats
from ripenroom.wording.names import crop_name, feel_names


class Column(IntEnum):
    """The table's columns, in order."""

    CODE = 0
    CROP = 1
    ROW = 2
    PLACE = 3
    LEFT = 4
    FEEL = 5
    PICKED = 6
    STATE = 7
    OPENS = 8
    CLOSES = 9


@dataclass(frozen=True, slots=True)
class BatchRow:
    """One batch; ``texts`` and ``keys`` go by :class:`Column`. No state: nothing is expected.

    ``fruit`` is the cultivar, or the crop where none is known. A key of None: there is nothing to
    sort by.
    """

    batch_id: str
    fruit: str
    state: FruitState | None
    is_empty: bool
    texts: tuple[str, ...]
    keys: tuple[float | str | None, ...]


def batch_lines(session: Session) -> list[BatchRow]:
    """Every batch of the season as it stands now."""
    season, words = session.season, session.words
    book, projection = season.book, session.projection()
    places = places_at(book, season.now())
    squeezed = season.ask.last_squeezes()
    lines: list[BatchRow] = []
    for batch_id, batch in book.batches.items():
        check = squeezed.get(batch_id)
        line = projection.line_of.get(batch_id)
        cultivar = book.cultivars.get(batch.cultivar_id or "")
        row = book.rows.get(batch.row_id or "")
        place = places.get(batch_id)
        expected = _Expected() if line is None else _expected(projection, line)
        crop, profile = crop_name(season.crops, batch.crop), season.profile_of(batch_id)
        if cultivar is not None:
            # A cultivar that names its crop says enough. Else the name that tells more comes first.
            names_it = crop.casefold() in cultivar.name.casefold()
            crop = cultivar.name if names_it else f"{cultivar.name} · {crop}"
        picked = batch.picked_at.timestamp()
        texts = (
            batch.code,
            crop,
            row.name if row else "",
            place.name if place else "",
            words.number(expected.left),
            feel_text(batch, profile, check),
            words.short_day(batch.picked_at),
            _state_words(expected),
            _days_or_why(expected.opens_h, expected, profile, words),
            _days_or_why(expected.closes_h, expected, profile, words),
        )
        keys: tuple[float | str | None, ...] = (
            batch.code,
            crop.casefold(),
            row.name.casefold() if row else "",
            place.name.casefold() if place else "",
            expected.left,
            _mean_feel(batch if check is None else check),
            picked,
            None if expected.state is None else int(expected.state),
            expected.opens_h[1],
            expected.closes_h[1],
        )
        fruit = crop if cultivar is None else cultivar.name
        sold_out = expected.left < 0.5
        lines.append(BatchRow(batch_id, fruit, expected.state, sold_out, texts, keys))
    return lines


_Dates = tuple[float, float, float]
_NO_DATES: _Dates = (math.nan, math.nan, math.nan)


@dataclass(frozen=True, slots=True)
class _Expected:
    """What is expected of one batch; as it is by default where nothing can be worked out."""

    left: float = math.nan
    state: FruitState | None = None
    opens_h: _Dates = _NO_DATES
    closes_h: _Dates = _NO_DATES
    no_date: NoDate | None = None
    may_be_ready: bool = False


def _state_words(expected: _Expected) -> str:
    if expected.state is None:
        return NEVER
    may_ripen = expected.no_date is NoDate.MAY_NOT_RIPEN
    return state_name(expected.state, may_ripen, expected.may_be_ready)


def _days_or_why(
    dates_h: _Dates, expected: _Expected, crop: CropProfile | None, words: Formats
) -> str:
    """The range of a date, or why there is none."""
    if math.isnan(dates_h[1]) and expected.no_date is not None:
        return no_date_words(expected.no_date, None if crop is None else crop.gate)
    return words.day_range(dates_h[0], dates_h[2])


def _expected(projection: Projection, line: int) -> _Expected:
    def dates(moment: Ranged) -> _Dates:
        return float(moment.low[line]), float(moment.mid[line]), float(moment.high[line])

    return _Expected(
        left=float(projection.left[line]),
        state=FruitState(int(projection.state[line])),
        opens_h=dates(projection.opens_h),
        closes_h=dates(projection.closes_h),
        no_date=no_date(projection, line),
        may_be_ready=bool(projection.may_be_ready[line]),
    )


def holds(words: str, with_empty: bool) -> Callable[[BatchRow], bool]:
    """Whether a row holds every one of the typed words, in any column."""
    wanted = words.casefold().split()

    def passes(row: BatchRow) -> bool:
        if row.is_empty and not with_empty:
            return False
        said = " ".join(row.texts).casefold() if wanted else ""
        return all(word in said for word in wanted)

    return passes


def feel_text(batch: Batch, crop: CropProfile | None, check: Check | None = None) -> str:
    """How a batch felt (or looked) when it was picked, in few words; or most of it when it was last
    squeezed (``check``), as every other page says it."""
    if check is not None:
        feel = last_felt(batch, check)
        return "" if feel is None else feel_names(crop)[FEELS.index(feel)]
    if batch.feel_counts is not None:
        names = feel_names(crop)
        felt = [name for count, name in zip(batch.feel_counts, names, strict=True) if count]
        return felt[0] if len(felt) == 1 else f"{felt[0]} – {felt[-1]}" if felt else ""
    if batch.readings:
        return tr("by gauge")
    return ""


def _mean_feel(felt: Batch | Check) -> float | None:
    counts = felt.feel_counts
    if counts is None or not sum(counts):
        return None
    return sum(index * count for index, count in enumerate(counts)) / sum(counts)


MARK_SIZE = QSize(18, 12)

_WIDTHS = {
    Column.CROP: ColumnWidth(14, in_two_lines=True),
    Column.PICKED: ColumnWidth(left_out=0, rather_than="broken"),
    Column.FEEL: ColumnWidth(left_out=1, rather_than="broken", may_be_unused=True),
    Column.ROW: ColumnWidth(in_two_lines=True, left_out=2, rather_than="cut", may_be_unused=True),
    Column.PLACE: ColumnWidth(11, in_two_lines=True, left_out=3),
}
"""Feels and rows are never entered by many a grower. A batch's code says when it was picked, and of
which crop a cultivar is; what is left reads better whole than all of it cut short."""


def batch_columns() -> list[TableColumn[BatchRow]]:
    """The columns, as :class:`Column` has them in order."""
    headings = {
        Column.CODE: tr("Batch"),
        Column.CROP: tr("Crop"),
        Column.ROW: tr("Row"),
        Column.PLACE: tr("Place"),
        Column.LEFT: tr("Left"),
        Column.FEEL: tr("Feel"),
        Column.PICKED: tr("Picked"),
        Column.STATE: tr("Now"),
        Column.OPENS: tr("Ready from"),
        Column.CLOSES: tr("until"),
    }
    marks = _StateMarks()

    def described(column: Column) -> TableColumn[BatchRow]:
        return TableColumn(
            headings[column],
            text=lambda row: row.texts[column],
            key=lambda row: row.keys[column],
            align=RIGHT if column is Column.LEFT else LEFT,
            short=attrgetter("fruit") if column is Column.CROP else None,
            hint=lambda row: row.texts[column],
            icon=marks.of if column is Column.STATE else None,
            width=_WIDTHS.get(column, ColumnWidth()),
        )

    return [described(column) for column in Column]


class _StateMarks:
    """The marks of states, drawn once for each palette."""

    def __init__(self) -> None:
        self._drawn: dict[FruitState, QIcon] = {}
        self._in: Palette | None = None

    def of(self, row: BatchRow) -> QIcon | None:
        """The mark of a batch's state; none where nothing is expected."""
        state, colours = row.state, ink()
        if state is None:
            return None
        if colours is not self._in:
            self._drawn, self._in = {}, colours
        if state not in self._drawn:
            self._drawn[state] = _mark(state, colours)
        return self._drawn[state]


def _mark(state: FruitState, colours: Palette) -> QIcon:
    scale = 3.0
    picture = QPixmap(MARK_SIZE * scale)
    picture.setDevicePixelRatio(scale)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    paint_mark(painter, QRectF(0, 0, MARK_SIZE.width(), MARK_SIZE.height()), state, colours)
    painter.end()
    icon = QIcon()
    # The same picture when selected: a tinted one would lose the hatching.
    icon.addPixmap(picture, QIcon.Mode.Normal)
    icon.addPixmap(picture, QIcon.Mode.Selected)
    return icon
