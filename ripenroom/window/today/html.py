"""Draws the day page as rich text, for the screen and for paper alike."""

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QCoreApplication, QDate, QLocale

from ripenroom.window.inks import Ink
from ripenroom.window.today.content import DayLine, DayPage, Group, NextMarket, PlaceLine
from ripenroom.window.wording import Wording

_BOX = "☐"


def page_html(page: DayPage, words: Wording, ink: Ink, base_pt: float, two_columns: bool) -> str:
    """The whole page; with two columns what is to be done stands left, the look ahead right.

    ``base_pt`` is the size (points) of its sentences; headings follow it.
    """
    todo = _groups(page.groups) if page.batches else [_nothing_yet()]
    deeds = "<br>".join([*todo, _places(page.places)])
    outlook = "<br>".join(part for part in (_market(page.market), _week(page.week, words)) if part)
    body = (
        "<table width='100%' cellspacing='0' cellpadding='0'><tr>"
        f"<td class='column' width='54%'>{deeds}</td><td width='5%'></td>"
        f"<td class='column' width='41%'>{outlook}</td>"
        "</tr></table>"
        if two_columns
        else f"{deeds}<br>{outlook}"
    )
    return (
        f"<html><head><style>{_style(ink, base_pt)}</style></head><body>"
        f"<p class='season'>{escape(page.season_name)}</p>"
        f"<h1>{escape(_date(page, words))}</h1>{body}</body></html>"
    )


def _style(ink: Ink, base_pt: float) -> str:
    heading_pt, date_pt = base_pt * 1.2, base_pt * 1.9
    return f"""
    body {{ color: {ink.text.name()}; }}
    h1 {{ font-size: {date_pt:.1f}pt; font-weight: 700; margin-top: 0; margin-bottom: 14px; }}
    h2 {{ font-size: {heading_pt:.1f}pt; font-weight: 700; margin-top: 0; margin-bottom: 4px;
          color: {ink.accent.name()}; }}
    p {{ margin-top: 4px; margin-bottom: 4px; }}
    p.season {{ color: {ink.faint.name()}; margin-bottom: 0; }}
    td {{ padding: 3px 10px 3px 0; }}
    td.column {{ padding-top: 12px; }}
    td.faint, span.faint {{ color: {ink.faint.name()}; }}
    a {{ color: {ink.text.name()}; text-decoration: underline; }}
    """


def _date(page: DayPage, words: Wording) -> str:
    today = QDate(page.today.year, page.today.month, page.today.day)
    return words.locale.toString(today, QLocale.FormatType.LongFormat)


def _anchor(text: str, link: str) -> str:
    return f"<a href='{escape(link)}'>{escape(text)}</a>"


def _groups(groups: Sequence[Group]) -> list[str]:
    if not groups:
        text = QCoreApplication.translate(
            "Today", "Nothing presses today. See what opens and closes in the next seven days."
        )
        return [f"<p>{escape(text)}</p>"]
    return [_group(group) for group in groups]


def _group(group: Group) -> str:
    rows = []
    for item in group.items:
        mark = _BOX if group.to_do else "·"
        why = f" {escape(_ended(item.reason))}" if item.reason else ""
        stop = _ended(item.headline).removeprefix(item.headline)
        deed = f"<b>{_anchor(item.headline, item.link)}{stop}</b>"
        rows.append(f"<tr><td>{mark}</td><td>{deed}{why}</td></tr>")
    table = f"<table cellspacing='0' cellpadding='0'>{''.join(rows)}</table>"
    return f"<h2>{escape(group.title)}</h2>{table}"


def _ended(sentence: str) -> str:
    """The sentence with its full stop; a date may end in one already, as in "3 Okt."."""
    return sentence if sentence.endswith(".") else f"{sentence}."


def _nothing_yet() -> str:
    text = QCoreApplication.translate(
        "Today",
        "No fruit is waiting yet. Write down the first pick: when, from which row, how it feels, "
        "and where it waits. What needs doing then stands here every morning.",
    )
    return f"<p>{escape(text)}</p><p>{_anchor(pick_text(), 'picks:')}</p>"


def pick_text() -> str:
    """What the way to the pick form says."""
    return QCoreApplication.translate("Today", "Write down a pick")


def _market(market: NextMarket | None) -> str:
    title = QCoreApplication.translate("Today", "Next market day")
    if market is None:
        text = QCoreApplication.translate("Today", "Add the next market day and what it wants")
        return f"<h2>{escape(title)}</h2><p>{_anchor(text, 'market:')}</p>"
    wants = "".join(f"<tr><td>{escape(want)}</td></tr>" for want in market.wants)
    if not wants:
        text = QCoreApplication.translate("Today", "Nothing is wanted yet.")
        wants = f"<tr><td class='faint'>{escape(text)}</td></tr>"
    return (
        f"<h2>{escape(title)}</h2>"
        f"<p><b>{_anchor(market.title, market.link)}</b>, {escape(market.when)}</p>"
        f"<table cellspacing='0' cellpadding='0'>{wants}</table>"
    )


def _week(week: Sequence[DayLine], words: Wording) -> str:
    title = QCoreApplication.translate("Today", "The next seven days")
    opens = QCoreApplication.translate("Today", "opens")
    closes = QCoreApplication.translate("Today", "closes")
    rows = []
    for line in week:
        parts = [f"<b>{_anchor(text, link)}</b>" for text, link in line.markets]
        for verb, pairs in ((opens, line.opens), (closes, line.closes)):
            if pairs:
                codes = ", ".join(_anchor(text, link) for text, link in pairs)
                parts.append(f"<span class='faint'>{escape(verb)}</span> {codes}")
        if parts:
            day = escape(words.day(line.day))
            rows.append(f"<tr><td>{day}</td><td>{'<br>'.join(parts)}</td></tr>")
    if not rows:
        return ""
    table = f"<table cellspacing='0' cellpadding='0'>{''.join(rows)}</table>"
    return f"<h2>{escape(title)}</h2>{table}"


def _places(places: Sequence[PlaceLine]) -> str:
    title = QCoreApplication.translate("Today", "Places now")
    if not places:
        text = QCoreApplication.translate("Today", "Write down where fruit waits: add a place")
        return f"<h2>{escape(title)}</h2><p>{_anchor(text, 'place:')}</p>"
    rows = "".join(
        f"<tr><td>{_anchor(place.name, place.link)}</td><td align='right'>{escape(place.set_point)}"
        f"</td><td>{escape(place.holds)}</td><td class='faint'>{escape(place.capacity)}</td></tr>"
        for place in places
    )
    table = f"<table cellspacing='0' cellpadding='0'>{rows}</table>"
    return f"<h2>{escape(title)}</h2>{table}"
