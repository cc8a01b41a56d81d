"""The day page as rich text: all of it for paper, and what has no boxes for the screen."""

from collections.abc import Sequence
from html import escape
from itertools import groupby

from PySide6.QtCore import QEvent, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFont, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QTextBrowser, QWidget

from ripenroom.texts import tr
from ripenroom.window.palette import Palette
from ripenroom.wording.alike import Alike
from ripenroom.wording.formats import Formats, ended
from ripenroom.wording.names import begun
from ripenroom.wording.today.items import Item, ItemGroup
from ripenroom.wording.today.page import DayPage, NextMarket, PlaceSummary
from ripenroom.wording.today.tasks import kind_title
from ripenroom.wording.today.week import DayRow

_BOX, _DONE, _POINT = "☐", "☑", "·"


def page_html(page: DayPage, words: Formats, ink: Palette, base_pt: float) -> str:
    """The whole page, with boxes to tick by pen; ``base_pt`` is the size (points) of its sentences.

    Headings follow it.
    """
    parts = [*_sheet(page), *_all_that_stays(page), *_tasks(page, _BOX), *_outlook(page, words)]
    body = "<br>".join(parts)
    head = (
        f"<p class='season'>{escape(page.season_name)}</p>"
        f"<h1>{escape(date_words(page, words))}</h1>"
    )
    return _document(head + body, words, ink, base_pt)


def tasks_html(page: DayPage, words: Formats, ink: Palette, base_pt: float) -> str:
    """What else is to be done, and what every place holds."""
    # A box that cannot be ticked would mislead beside those that can.
    return _document("<br>".join(_tasks(page, _POINT)), words, ink, base_pt)


def stays_html(page: DayPage, words: Formats, ink: Palette, base_pt: float) -> str:
    """What stays where it is, and why, by place."""
    return _document("".join(_stays_of(group) for group in page.stays), words, ink, base_pt)


def outlook_html(page: DayPage, words: Formats, ink: Palette, base_pt: float) -> str:
    """The look ahead: the next market day and the week."""
    return _document("<br>".join(_outlook(page, words)), words, ink, base_pt)


def _document(body: str, words: Formats, ink: Palette, base_pt: float) -> str:
    body = words.unbroken(body)
    return f"<html><head><style>{_style(ink, base_pt)}</style></head><body>{body}</body></html>"


def _tasks(page: DayPage, box: str) -> list[str]:
    todo = _groups(page.groups, box) if page.batches else [_nothing_yet()]
    return [*todo, _places(page.places)]


def _outlook(page: DayPage, words: Formats) -> list[str]:
    return [part for part in (_market(page.market), _week(page.week, words)) if part]


def _sheet(page: DayPage) -> list[str]:
    """The day sheet on paper, under the headings of its kinds."""
    if not page.batches:
        return []
    if not page.sheet:
        return [f"<p>{escape(page.no_tasks)}</p>"]
    parts = []
    for kind, of_kind in groupby(page.sheet, lambda pair: pair[0].kind):
        parts.append(f"<h2>{escape(kind_title(kind))}</h2>")
        for under, pairs in groupby(of_kind, lambda pair: pair[1].under):
            rows = [(_DONE if task.done else _BOX, item) for task, item in pairs]
            heading = f"<p><b>{escape(under)}</b></p>" if under else ""
            parts[-1] += f"{heading}{_rows(rows)}"
    return parts


def _all_that_stays(page: DayPage) -> list[str]:
    """What stays, on paper: nobody can fold it out there."""
    if not page.stays:
        return []
    title = tr("What stays, and why")
    return [f"<h2>{escape(title)}</h2>" + "".join(_stays_of(group) for group in page.stays)]


def _stays_of(group: ItemGroup) -> str:
    rows = _rows([(_POINT, item) for item in group.items])
    return f"<p><span class='faint'>{escape(group.title)}</span></p>{rows}"


def _style(ink: Palette, base_pt: float) -> str:
    # A heading has a size in words: of one in points Qt takes no notice. "Large" is SECTION_TIMES.
    return f"""
    body {{ color: {ink.text.name()}; }}
    h1 {{ font-size: {base_pt:.1f}pt; font-weight: 700; margin-top: 0; margin-bottom: 14px; }}
    h2 {{ font-size: large; font-weight: 700; margin-top: 0; margin-bottom: 4px;
          color: {ink.accent.name()}; }}
    p {{ margin-top: 4px; margin-bottom: 4px; }}
    p.season {{ color: {ink.faint.name()}; margin-bottom: 0; }}
    td {{ padding: 3px 10px 3px 0; }}
    td.faint, span.faint {{ color: {ink.faint.name()}; }}
    a {{ color: {ink.text.name()}; text-decoration: underline; }}
    """


def date_words(page: DayPage, words: Formats) -> str:
    """The page's day, written in full."""
    return begun(words.day_in_full(page.today))


def _anchor(text: str, link: str) -> str:
    return f"<a href='{escape(link)}'>{escape(text)}</a>"


def _groups(groups: Sequence[ItemGroup], box: str) -> list[str]:
    if not groups:
        text = tr("Nothing else is urgent today.")
        return [f"<p>{escape(text)}</p>"]
    return [_group(group, box) for group in groups]


def _group(group: ItemGroup, box: str) -> str:
    rows = [(box if group.to_do else _POINT, item) for item in group.items]
    return f"<h2>{escape(group.title)}</h2>{_rows(rows)}"


def _rows(marked: Sequence[tuple[str, Item]]) -> str:
    rows = []
    for mark, item in marked:
        why = f" {escape(ended(item.reason))}" if item.reason else ""
        stop = ended(item.headline).removeprefix(item.headline)
        task = f"<b>{_anchor(item.headline, item.link)}{stop}</b>"
        rows.append(f"<tr><td>{mark}</td><td>{task}{why}</td></tr>")
    return f"<table cellspacing='0' cellpadding='0'>{''.join(rows)}</table>"


def _nothing_yet() -> str:
    text = tr(
        "No fruit is waiting yet. Enter the first pick: when, which crop, how it feels and where "
        "it waits. Then this page says every morning what to do."
    )
    return f"<p>{escape(text)}</p><p>{_anchor(pick_text(), 'picks:')}</p>"


def pick_text() -> str:
    """What the way to the pick form says."""
    return tr("Enter a pick")


def _market(market: NextMarket | None) -> str:
    title = tr("Next market day")
    if market is None:
        text = tr("Add the next market day and what it wants")
        return f"<h2>{escape(title)}</h2><p>{_anchor(text, 'market:')}</p>"
    wants = "".join(f"<tr><td>{escape(want)}</td></tr>" for want in market.wants)
    if not wants:
        text = tr("Nothing is wanted yet.")
        wants = f"<tr><td class='faint'>{escape(text)}</td></tr>"
    return (
        f"<h2>{escape(title)}</h2>"
        f"<p><b>{_anchor(market.title, market.link)}</b>, {escape(market.when)}</p>"
        f"<table cellspacing='0' cellpadding='0'>{wants}</table>"
    )


def _week(week: Sequence[DayRow], words: Formats) -> str:
    title = tr("The next seven days")
    opens = tr("ready:")
    closes = tr("last day:")
    rows = []
    for line in week:
        parts = [f"<b>{_anchor(text, link)}</b>" for text, link in line.markets]
        for verb, groups in ((opens, line.opens), (closes, line.closes)):
            if groups:
                told = "; ".join(_alike(group) for group in groups)
                parts.append(f"<span class='faint'>{escape(verb)}</span> {told}")
        if parts:
            day = escape(words.day(line.day))
            rows.append(f"<tr><td>{day}</td><td>{'<br>'.join(parts)}</td></tr>")
    if not rows:
        return ""
    table = f"<table cellspacing='0' cellpadding='0'>{''.join(rows)}</table>"
    return f"<h2>{escape(title)}</h2>{table}"


def _alike(group: Alike) -> str:
    codes = ", ".join(_anchor(code, f"batch:{key}") for code, key in group.batches)
    return tr("{fruit} ({codes})").format(fruit=escape(group.what), codes=codes)


def _places(places: Sequence[PlaceSummary]) -> str:
    title = tr("Places now")
    if not places:
        text = tr("Add a place where fruit waits")
        return f"<h2>{escape(title)}</h2><p>{_anchor(text, 'place:')}</p>"
    rows = "".join(
        f"<tr><td>{_anchor(place.name, place.link)}</td><td align='right'>{escape(place.set_point)}"
        f"</td><td>{escape(place.holds)}</td><td class='faint'>{escape(place.capacity)}</td></tr>"
        for place in places
    )
    table = f"<table cellspacing='0' cellpadding='0'>{rows}</table>"
    return f"<h2>{escape(title)}</h2>{table}"


class GrownText(QTextBrowser):
    """Tab goes from link to link, Enter follows; ``looked_at`` says where the keyboard is.

    While the mouse is down on it, it is ``held``; ``letGo`` says that it is no longer.
    """

    looked_at = Signal(QRect)
    letGo = Signal()  # noqa: N815 - named as Qt names signals

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._written: tuple[str, QFont] | None = None
        self.held = False
        self.setOpenLinks(False)
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.viewport().setAutoFillBackground(False)
        self.document().setDocumentMargin(0)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setSizePolicy(policy)
        self.cursorPositionChanged.connect(self._tell)
        self.selectionChanged.connect(self._tell)

    def write(self, html: str, font: QFont) -> None:
        """Show this text; the same one is left as it is, with the link that the keyboard is on."""
        if (html, font) == self._written:
            return
        self._written = html, QFont(font)
        self.document().setDefaultFont(font)
        self.setHtml(html)
        self.document().setDocumentMargin(0)
        self._grow()

    def sizeHint(self) -> QSize:
        """As high as the text at its present width."""
        return QSize(0, self._height())

    def minimumSizeHint(self) -> QSize:
        """As high as the text at its present width."""
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width breaks the lines elsewhere."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._grow()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Remember that something will come of it."""
        self.held = True
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """What was clicked is followed first."""
        super().mouseReleaseEvent(event)
        self.held = False
        QTimer.singleShot(0, self, self.letGo.emit)

    def wheelEvent(self, event: QEvent) -> None:
        """The wheel is the page's."""
        event.ignore()

    def _height(self) -> int:
        return int(self.document().size().height()) + 2

    def _grow(self) -> None:
        self.setFixedHeight(self._height())
        self.updateGeometry()

    def _tell(self) -> None:
        if self.hasFocus():
            self.looked_at.emit(self.cursorRect())
