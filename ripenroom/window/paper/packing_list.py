"""The packing list of a market day: which crates go, from where, and what was wanted."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QFont, QPagedPaintDevice, QTextDocument

from ripenroom.season.plan import Plan, PlannedLine
from ripenroom.window.inks import HIGH_CONTRAST
from ripenroom.window.names import crop_name
from ripenroom.window.session import Session
from ripenroom.window.wording import Wording

_POINTS = 12.0
_BOX = "☐"


@dataclass(frozen=True, slots=True)
class PackingLine:
    """Crates of one batch that go to the market day, in words."""

    crop: str
    code: str
    crates: int
    fruit: int
    place: str
    ready_share: float


def packing_lines(session: Session, plan: Plan | None, market_day_id: str) -> list[PackingLine]:
    """What goes to a market day by the plan, crop by crop, the readiest first."""
    if plan is None:
        return []
    lines = [x for x in plan.lines if x.market_day_id == market_day_id and x.batch_id]
    book = session.season.book
    known = [x for x in lines if x.batch_id in book.batches]
    known.sort(key=lambda x: (book.batches[x.batch_id].crop, -x.expected_ready_share))
    return [_line(session, line) for line in known]


def _line(session: Session, line: PlannedLine) -> PackingLine:
    season = session.season
    batch = season.book.batches[line.batch_id]
    place = season.book.places.get(line.to_place_id or line.from_place_id)
    return PackingLine(
        crop=crop_name(season.crops, batch.crop),
        code=batch.code,
        crates=line.crates,
        fruit=round(_fruit(session, line)),
        place=place.name if place else "",
        ready_share=line.expected_ready_share,
    )


def _fruit(session: Session, line: PlannedLine) -> float:
    projection = session.projection()
    row = projection.line_of.get(line.batch_id)
    left = 0.0 if row is None else float(projection.left[row])
    usual = session.season.crops[session.season.book.batches[line.batch_id].crop]
    return min(left, line.crates * usual.fruit_per_crate.value)


def print_list(
    device: QPagedPaintDevice, session: Session, plan: Plan | None, market_day_id: str, font: QFont
) -> None:
    """Print the list on a printer or into a PDF."""
    document = QTextDocument()
    paper_font = QFont(font)
    paper_font.setPointSizeF(_POINTS)
    document.setDefaultFont(paper_font)
    document.setHtml(list_html(session, plan, market_day_id))
    document.print_(device)


def list_html(session: Session, plan: Plan | None, market_day_id: str) -> str:
    """The list as rich text: boxes to tick, and room to write what came back."""
    day = session.season.book.market_days[market_day_id]
    words, ink = session.words, HIGH_CONTRAST
    lines = packing_lines(session, plan, market_day_id)
    body = "".join(_table(lines, words)) if lines else f"<p>{escape(_nothing())}</p>"
    return (
        f"<html><head><style>{_style()}</style></head>"
        f"<body style='color: {ink.text.name()}'>"
        f"<h1>{escape(day.name)}</h1><p><b>{escape(words.moment(day.starts_at))}</b></p>"
        f"{_wants(session, lines, market_day_id)}{body}"
        f"<p>{escape(day.note)}</p></body></html>"
    )


def _style() -> str:
    return (
        f"h1 {{ font-size: {_POINTS * 2:.0f}pt; margin-bottom: 0; }}"
        "th { text-align: left; } td, th { padding: 5px 12px 5px 0; }"
        "td.number, th.number { text-align: right; }"
    )


def _nothing() -> str:
    return QCoreApplication.translate(
        "PackingList", "Nothing is planned for this market day: no fruit is expected to be ready."
    )


def _wants(session: Session, lines: Sequence[PackingLine], market_day_id: str) -> str:
    season = session.season
    wants = sorted(
        (w for w in season.book.wants.values() if w.market_day_id == market_day_id),
        key=lambda want: want.crop,
    )
    said = QCoreApplication.translate(
        "PackingList", "{crop}: wanted {wanted}; {fruit} go, about {ready} of them ready"
    )
    parts = []
    for want in wants:
        name = crop_name(season.crops, want.crop)
        own = [line for line in lines if line.crop == name]
        fruit = sum(line.fruit for line in own)
        ready = round(sum(line.fruit * line.ready_share for line in own))
        parts.append(escape(said.format(crop=name, wanted=want.count, fruit=fruit, ready=ready)))
    return f"<p>{'<br>'.join(parts)}</p>"


def _table(lines: Sequence[PackingLine], words: Wording) -> Iterator[str]:
    heads = (
        "",
        QCoreApplication.translate("PackingList", "Batch"),
        QCoreApplication.translate("PackingList", "Crates"),
        QCoreApplication.translate("PackingList", "Fruit"),
        QCoreApplication.translate("PackingList", "From"),
        QCoreApplication.translate("PackingList", "Ready"),
        QCoreApplication.translate("PackingList", "Sold"),
        QCoreApplication.translate("PackingList", "Back"),
        QCoreApplication.translate("PackingList", "Thrown"),
    )
    yield "<table width='100%' cellspacing='0' border='0'><tr>"
    yield "".join(f"<th>{escape(head)}</th>" for head in heads)
    yield "</tr>"
    crop = ""
    for line in lines:
        if line.crop != crop:
            crop = line.crop
            yield f"<tr><td></td><td colspan='8'><b>{escape(crop)}</b></td></tr>"
        room = "<td>______</td>" * 3
        yield (
            f"<tr><td>{_BOX}</td><td><b>{escape(line.code)}</b></td>"
            f"<td>{line.crates}</td><td>{line.fruit}</td><td>{escape(line.place)}</td>"
            f"<td>{escape(words.share(line.ready_share))}</td>{room}</tr>"
        )
    yield "</table>"
