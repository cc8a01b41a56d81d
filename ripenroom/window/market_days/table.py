"""The market days as a table: what comes next on top, what is over below."""

from collections import Counter
from dataclasses import dataclass
from enum import IntEnum

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from ripenroom.records.market import MarketDay, Want
from ripenroom.season.findings import Supply
from ripenroom.window.market_days.balance import supply_words, verdict_words
from ripenroom.window.names import crop_name, market_kind_name
from ripenroom.window.session import Session

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """The columns from the left."""

    DAY = 0
    WHERE = 1
    WANTS = 2


@dataclass(frozen=True, slots=True)
class WantLine:
    """One crop of a market day; ``supply`` is None once the day is over, ``sold`` before it."""

    crop: str
    want: Want
    supply: Supply | None
    sold: int | None


@dataclass(frozen=True, slots=True)
class MarketLine:
    """One market day with its wants."""

    day: MarketDay
    over: bool
    wants: tuple[WantLine, ...]


class MarketTable(QAbstractTableModel):
    """Rows are :class:`MarketLine`; the delegate of the last column paints them, words are here."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.lines: list[MarketLine] = []

    def refresh(self) -> None:
        """Read the season anew."""
        self.beginResetModel()
        self.lines = _lines(self._session)
        self.endResetModel()

    def row_of(self, market_day_id: str) -> int | None:
        """The row of a market day."""
        rows = (n for n, line in enumerate(self.lines) if line.day.id == market_day_id)
        return next(rows, None)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """One row per market day."""
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Day, where, wants."""
        return 0 if parent.isValid() else len(Column)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """The columns' headings."""
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return (self.tr("Day"), self.tr("Where"), self.tr("Wanted, and ready by then"))[section]

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words for the eye and, in the last column, for a listener."""
        line, words = self.lines[index.row()], self._session.words
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        if index.column() == Column.DAY:
            day = f"{words.day(line.day.starts_at)}\n{words.time(line.day.starts_at)}"
            # To the eye its faint ink says that a day is over.
            heard = role == Qt.ItemDataRole.AccessibleTextRole
            return self.tr("{day}, over").format(day=day) if line.over and heard else day
        if index.column() == Column.WHERE:
            return f"{line.day.name}\n{market_kind_name(line.day.kind)}"
        return "\n".join(self.want_words(want) for want in line.wants)

    def want_words(self, line: WantLine) -> str:
        """One crop in words: ``"Pawpaw wants 60 · ready 72 (50–90): enough"``."""
        words = self._session.words
        if line.supply is not None:
            said = supply_words(line.supply, words)
            return f"{line.crop} {said}: {verdict_words(line.supply, words)}"
        return self.tr("{crop} wanted {wanted} · sold {sold}").format(
            crop=line.crop, wanted=words.number(line.want.count), sold=words.number(line.sold or 0)
        )


def _lines(session: Session) -> list[MarketLine]:
    season = session.season
    now, book, crops = season.now(), season.book, season.crops
    supplies = {(supply.market_day_id, supply.crop): supply for supply in season.supply()}
    wants: dict[str, list[Want]] = {}
    for want in book.wants.values():
        wants.setdefault(want.market_day_id, []).append(want)
    sold: Counter[tuple[str, str]] = Counter()
    for removal in book.removals.values():
        if removal.market_day_id and removal.outcome == "sold":
            batch = book.batches.get(removal.batch_id)
            if batch is not None:
                sold[removal.market_day_id, batch.crop] += removal.count

    def line(day: MarketDay) -> MarketLine:
        # A market still runs on its day, and its fruit is still being sold.
        over = session.words.local(day.starts_at).date() < now.date()
        found = []
        for want in sorted(wants.get(day.id, []), key=lambda want: want.crop):
            key = (day.id, want.crop)
            name = crop_name(crops, want.crop)
            supply = None if over else supplies.get(key)
            found.append(WantLine(name, want, supply, sold[key] if supply is None else None))
        return MarketLine(day, over, tuple(found))

    lines = [line(day) for day in sorted(book.market_days.values(), key=lambda day: day.starts_at)]
    return [one for one in lines if not one.over] + [one for one in lines[::-1] if one.over]
