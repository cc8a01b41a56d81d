"""The batches of a season as lines of a table: texts to show and keys to sort by."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from PySide6.QtCore import QCoreApplication

from ripenroom.records.batch import Batch
from ripenroom.season.projection import State
from ripenroom.window.names import feel_names, state_name
from ripenroom.window.picks.choices import crop_name
from ripenroom.window.session import Session
from ripenroom.window.whereabouts import places_at


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


def headings() -> tuple[str, ...]:
    """What stands above the columns."""
    return (
        QCoreApplication.translate("BatchTable", "Batch"),
        QCoreApplication.translate("BatchTable", "Crop"),
        QCoreApplication.translate("BatchTable", "Row"),
        QCoreApplication.translate("BatchTable", "Place"),
        QCoreApplication.translate("BatchTable", "Left"),
        QCoreApplication.translate("BatchTable", "Feel"),
        QCoreApplication.translate("BatchTable", "Picked"),
        QCoreApplication.translate("BatchTable", "Now"),
        QCoreApplication.translate("BatchTable", "Good from"),
        QCoreApplication.translate("BatchTable", "until"),
    )


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One batch; ``texts`` and ``keys`` go by :class:`Column`."""

    batch_id: str
    state: State
    is_empty: bool
    texts: tuple[str, ...]
    keys: tuple[float | str, ...]


def batch_lines(session: Session) -> list[BatchLine]:
    """Every batch of the season as it stands now, in the order of the projection."""
    season, words = session.season, session.words
    book, projection = season.book, session.projection()
    places = places_at(book, season.now())
    lines: list[BatchLine] = []
    opens, closes = projection.opens_h, projection.closes_h
    for line, batch_id in enumerate(projection.batch_ids):
        batch = book.batches[batch_id]
        cultivar = book.cultivars.get(batch.cultivar_id or "")
        row = book.rows.get(batch.row_id or "")
        place = places.get(batch_id)
        state = State(int(projection.state[line]))
        left = float(projection.left[line])
        crop = crop_name(season.crops, batch.crop)
        if cultivar is not None:
            # The name that tells more comes first: a narrow column cuts off the other.
            crop = f"{cultivar.name} · {crop}"
        picked = batch.picked_at.timestamp()
        texts = (
            batch.code,
            crop,
            row.name if row else "",
            place.name if place else "",
            words.number(left),
            feel_text(batch),
            words.short_day(batch.picked_at),
            state_name(state),
            words.day_range(float(opens.low[line]), float(opens.high[line])),
            words.day_range(float(closes.low[line]), float(closes.high[line])),
        )
        keys: tuple[float | str, ...] = (
            batch.code,
            crop.casefold(),
            row.name.casefold() if row else "",
            place.name.casefold() if place else "",
            left,
            _mean_feel(batch),
            picked,
            int(state),
            _late_if_never(float(opens.mid[line])),
            _late_if_never(float(closes.mid[line])),
        )
        lines.append(BatchLine(batch_id, state, left < 0.5, texts, keys))
    return lines


def filtered(lines: Iterable[BatchLine], words: str, with_empty: bool) -> list[BatchLine]:
    """Lines that hold every one of the typed words, in any column."""
    wanted = words.casefold().split()
    return [
        line
        for line in lines
        if (with_empty or not line.is_empty)
        and (not wanted or all(word in " ".join(line.texts).casefold() for word in wanted))
    ]


def feel_text(batch: Batch) -> str:
    """How a batch felt when it was picked, in few words."""
    if batch.feel_counts is not None:
        felt = [name for count, name in zip(batch.feel_counts, feel_names(), strict=True) if count]
        return felt[0] if len(felt) == 1 else f"{felt[0]} – {felt[-1]}" if felt else ""
    if batch.readings:
        return QCoreApplication.translate("BatchTable", "by gauge")
    return ""


def _mean_feel(batch: Batch) -> float:
    counts = batch.feel_counts
    if counts is None or not sum(counts):
        return -1.0
    return sum(index * count for index, count in enumerate(counts)) / sum(counts)


def _late_if_never(hours: float) -> float:
    return float("inf") if hours != hours else hours
