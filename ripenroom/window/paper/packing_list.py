"""The packing list of a market day: which crates go, from where, what was wanted, and what is
opened next if too few feel ready."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from ripenroom.records.batch import Batch
from ripenroom.records.market import ExpectedPick
from ripenroom.season.packing import PackingList, PackingOfCrop, PackLine
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.texts import tr
from ripenroom.window.palette import HIGH_CONTRAST
from ripenroom.window.paper.output import POINTS
from ripenroom.window.session import Session
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import crop_name
from ripenroom.wording.packing import (
    next_words,
    wanted_words,
)
from ripenroom.wording.plan.itineraries import felt_words, fruit_words

_BOX, _TICKED = "☐", "☑"


@dataclass(frozen=True, slots=True)
class PackingRow:
    """Crates of one batch, or of a pick to come, that go to the market day, in words."""

    crop: str
    what: str
    """``"15 pawpaws, gives"``."""
    code: str
    crates: int
    fruit: int
    place: str
    ready_share: float
    packed: bool


def packing_lines(session: Session, plan: Plan | None, market_day_id: str) -> list[PackingRow]:
    """What goes to a market day by the plan, crop by crop, the readiest first."""
    if plan is None:
        return []
    here = [line for line in plan.lines if line.market_day_id == market_day_id]
    lines = [found for found in (_line(session, line) for line in here) if found is not None]
    lines.sort(key=lambda line: (line.crop, -line.ready_share))
    return lines


def _line(session: Session, line: PlannedItinerary) -> PackingRow | None:
    """A planned line in words; None if what it speaks of is gone."""
    season, book = session.season, session.season.book
    batch = book.batches.get(line.batch_id)
    to_come = book.expected_picks.get(line.expected_pick_id or "")
    if batch is not None:
        of: Batch | ExpectedPick = batch
        code = batch.code
    elif to_come is not None:
        of = to_come
        code = tr("to be picked {day}").format(day=session.words.day(to_come.on))
    else:
        return None
    place = book.places.get(line.to_place_id or line.from_place_id)
    return PackingRow(
        crop=crop_name(season.crops, of.crop),
        what=fruit_words(line, session),
        code=code,
        crates=line.crates,
        fruit=round(line.fruit),
        place=place.name if place else "",
        ready_share=line.expected_ready_share,
        packed=line.packed,
    )


def list_html(session: Session, plan: Plan | None, market_day_id: str) -> str:
    """The list as rich text: boxes to tick, room to write what came back, and what is opened next.

    Raises ``Refusal`` of a market day of which all is said.
    """
    day = session.season.book.market_days[market_day_id]
    words, ink = session.words, HIGH_CONTRAST
    lines = packing_lines(session, plan, market_day_id)
    packing = session.season.ask.packing_list(market_day_id, plan)
    body = "".join(_table(lines, words)) if lines else f"<p>{escape(_nothing())}</p>"
    following = "".join(_next(session, crop) for crop in packing.crops if crop.open_next)
    return (
        f"<html><head><style>{_style()}</style></head>"
        f"<body style='color: {ink.text.name()}'>"
        f"<h1>{escape(day.name)}</h1><p><b>{escape(words.moment(day.starts_at))}</b></p>"
        f"{_wants(session, packing)}{body}{following}"
        f"<p>{escape(day.note)}</p></body></html>"
    )


def _style() -> str:
    return (
        f"h1 {{ font-size: {POINTS * 2:.0f}pt; margin-bottom: 0; }}"
        "th { text-align: left; } td, th { padding: 7px 12px 7px 0; }"
        "td.code { white-space: nowrap; }"
    )


def _nothing() -> str:
    return tr(
        "Nothing is planned for this market day: no fruit is expected to be good to sell then."
    )


def _wants(session: Session, packing: PackingList) -> str:
    crops = session.season.crops
    parts = [
        escape(wanted_words(crop, crop_name(crops, crop.crop), session.words))
        for crop in packing.crops
    ]
    return f"<p>{'<br>'.join(parts)}</p>"


def _next(session: Session, crop: PackingOfCrop) -> str:
    """What of a crop is opened next, in its order, and room to write how many of it were taken."""
    season, words = session.season, session.words
    said = tr("{crop}. {what}").format(
        crop=crop_name(season.crops, crop.crop), what=next_words(crop)
    )
    rows = "".join(
        f"<tr><td>{number}.</td>"
        f"<td><b>{escape(_what(session, line))}</b></td><td>{line.crates}</td>"
        f"<td>{escape(season.book.places[line.moved_to_id or line.place_id].name)}</td>"
        f"<td class='code'>{escape(season.book.batches[line.batch_id].code)}</td>"
        f"<td>{escape(words.share(line.ready.mid / line.fruit))}</td><td>______</td></tr>"
        for number, line in enumerate(crop.open_next, start=1)
    )
    heads = [
        "",
        tr("Fruit"),
        tr("Crates"),
        tr("From"),
        tr("Batch"),
        tr("Good to sell"),
        tr("Taken"),
    ]
    head = "".join(f"<th>{escape(text)}</th>" for text in heads)
    return (
        f"<p><b>{escape(said)}</b></p>"
        f"<table width='100%' cellspacing='0' border='0'><tr>{head}</tr>{rows}</table>"
    )


def _what(session: Session, line: PackLine) -> str:
    batch = session.season.book.batches[line.batch_id]
    felt = session.season.ask.last_felt(batch.id)
    return felt_words(batch.crop, line.fruit, felt, session)


def _table(lines: Sequence[PackingRow], words: Formats) -> Iterator[str]:
    heads = (
        "",
        tr("Fruit"),
        tr("Crates"),
        tr("From"),
        tr("Batch"),
        tr("Good to sell"),
        tr("Sold"),
        tr("Back"),
        tr("Thrown"),
    )
    yield "<table width='100%' cellspacing='0' border='0'><tr>"
    yield "".join(f"<th>{escape(head)}</th>" for head in heads)
    yield "</tr>"
    for line in lines:
        room = "<td>______</td>" * 3
        yield (
            f"<tr><td>{_TICKED if line.packed else _BOX}</td>"
            f"<td><b>{escape(line.what)}</b></td><td>{line.crates}</td>"
            f"<td>{escape(line.place)}</td><td class='code'>{escape(line.code)}</td>"
            f"<td>{escape(words.share(line.ready_share))}</td>{room}</tr>"
        )
    yield "</table>"
