"""The walk sheet for a pencil: rows down, feels across, room for notes. Typed in line by line."""

from collections.abc import Sequence
from html import escape

from ripenroom.records.orchard import Row
from ripenroom.texts import tr, tr_n
from ripenroom.window.palette import HIGH_CONTRAST
from ripenroom.window.session import Session
from ripenroom.wording.names import begun, feel_names

_POINTS = 11.0
_BOX_WIDTH, _NOTE_WIDTH = "9%", "26%"


def walk_sheet_html(session: Session, rows: Sequence[Row]) -> str:
    """The sheet as rich text, its lines in the order of ``rows``."""
    heads = [
        (tr("Row"), "20%"),
        *((begun(name), _BOX_WIDTH) for name in feel_names()),
        (tr("Ground"), _BOX_WIDTH),
        (tr("Note"), _NOTE_WIDTH),
    ]
    head = "".join(f"<th width='{width}'>{escape(text)}</th>" for text, width in heads)
    # An empty line below the name makes boxes that a cold hand can tick thirty fruit into.
    lines = "".join(
        f"<tr><td><b>{escape(row.name)}</b><br>{escape(_about(session, row))}<br>&nbsp;</td>"
        + "<td>&nbsp;</td>" * (len(heads) - 1)
        + "</tr>"
        for row in rows
    )
    title = tr("Squeeze walk")
    day = tr("Day ____________  Time ________  Who ____________")
    how = tr(
        "Squeeze about thirty fruit of each row as they come, high and low, sun and shade, and "
        "pick none: one stroke for each. Ground: fruit fallen since the last walk; clear it away."
    )
    return (
        f"<html><head><style>{_style()}</style></head>"
        f"<body style='color: {HIGH_CONTRAST.text.name()}'>"
        f"<h1>{escape(title)}</h1><p>{escape(session.season.book.season.name)}</p>"
        f"<p>{escape(day)}</p>"
        f"<table width='100%' border='1' cellspacing='0' cellpadding='5'><tr>{head}</tr>{lines}"
        f"</table><p>{escape(how)}</p></body></html>"
    )


def _about(session: Session, row: Row) -> str:
    cultivar = session.season.book.cultivars.get(row.cultivar_id or "")
    parts = [cultivar.name if cultivar else ""]
    if row.trees is not None:
        trees = tr_n("{n} tree", "{n} trees", row.trees)
        parts.append(trees.format(n=row.trees))
    return " · ".join(part for part in parts if part)


def _style() -> str:
    return f"h1 {{ font-size: {_POINTS * 2:.0f}pt; margin-bottom: 0; }} th {{ text-align: left; }}"
