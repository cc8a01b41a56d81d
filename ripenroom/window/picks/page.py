"""The Picks page: write one down above, see and change batches below."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.season import actions
from ripenroom.season.state import Changed
from ripenroom.texts import tr, tr_n
from ripenroom.window.batch.facts import ChosenBatch
from ripenroom.window.dialogs import ask
from ripenroom.window.forms import open_check
from ripenroom.window.forms.batch_moves import MoveDialog, TakeOutDialog
from ripenroom.window.forms.edit_pick import EditPickDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.page import Page
from ripenroom.window.picks.batch_list import BatchList
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import SnugScroll, WrappedLabel
from ripenroom.wording.plan.expected_picks import likely_to_come, what_is_expected

KEYS = "Ctrl+E"

_SHOWN = 2
"""Picks that the line names; of more it says how many they are."""


class ExpectedLine(WrappedLabel):
    """What is expected next; ``button``, which stands elsewhere, opens the list and says it too."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._session = session
        self.setObjectName("faint")
        self.button = QPushButton(tr("E&xpected picks…"), parent)
        self.button.setAutoDefault(False)
        self.button.setShortcut(KEYS)

    def refresh(self) -> None:
        """Say what is expected as on now, and what rows or the last picks make likely."""
        picks = self._session.season.ask.still_expected()
        parts = [what_is_expected(pick, self._session) for pick in picks[:_SHOWN]]
        if len(picks) > _SHOWN:
            parts.append(tr("and {more} more").format(more=len(picks) - _SHOWN))
        said = [tr("Expected: {picks}").format(picks="; ".join(parts))] if parts else []
        likely = likely_to_come(self._session)
        if likely:
            said.append(likely)
        self.setText(". ".join(said) or tr("No further pick is expected."))
        what_for = tr("What the trees will bring, so that the plan counts on it. Key: {keys}")
        set_hint(self.button, f"{what_for.format(keys=KEYS)}\n{self.text()}")


_SIDE_PX = 20
_GAP_PX, _LOW_GAP_PX = 10, 3
_MARGINS_PX, _LOW_MARGINS_PX = (6, 4), (2, 0)
"""Over and under the page."""
_LEAST_LINES = 20
"""With room for fewer lines of text than this, none is kept for refusals."""
_BESIDE_LETTERS = 190
"""From this width on, the selected batch stands beside the list."""


class PicksPage(Page):
    """The pick entry form, what is expected next, and the list of batches."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.form = PickForm(session)
        self.expected = ExpectedLine(session, self)
        self.form.add_to_foot(self.expected.button)
        self.list = BatchList(session, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(_SIDE_PX, _MARGINS_PX[0], _SIDE_PX, _MARGINS_PX[1])
        self.form.told.usually_say(self.expected)
        self._upper = SnugScroll(self.form, self)
        layout.addWidget(self._upper)
        self.chosen = ChosenBatch(session, self)
        lower = QHBoxLayout()
        lower.setSpacing(24)
        lower.addWidget(self.list, 5)
        lower.addWidget(self.chosen, 2)
        layout.addLayout(lower, 1)
        self.list.selectionShown.connect(self._show_chosen)
        self.form.added.connect(self._on_added)
        self.expected.button.clicked.connect(lambda: ask(ExpectedPicksDialog(session, self)))
        self.list.openBatch.connect(self.openBatch)
        self.list.checkAsked.connect(lambda ids: open_check(session, ids[0], self))
        self.list.moveAsked.connect(self._move)
        self.list.soldAsked.connect(lambda ids: ask(TakeOutDialog(session, ids[0], "sold", self)))
        self.list.discardAsked.connect(
            lambda ids: ask(TakeOutDialog(session, ids[0], "discarded", self))
        )
        self.list.editAsked.connect(lambda ids: ask(EditPickDialog(session, ids[0], self)))
        self.list.labelsAsked.connect(self._print_labels)
        self.list.deleteAsked.connect(self._delete)

    @property
    def title(self) -> str:
        """The page's name."""
        return tr("Picks")

    def follow(self, changed: Changed) -> None:
        """Show again what a change touched: what can be chosen in the form, what is expected next,
        of which walks and weather tell too, and the list with its dates, which all but those and
        the wants of market days may move."""
        offered = bool(changed.figures or changed.places)
        if offered:
            self.form.refresh()
        on_trees = changed.walks or changed.weather
        if offered or changed.batches or changed.ahead or changed.clock or on_trees:
            self.expected.refresh()
        if replace(changed, market_days=frozenset()).beyond_trees:
            self.list.refresh()

    def refresh(self) -> None:
        """Show the season as it is now."""
        self.form.refresh()
        self.expected.refresh()
        self.list.refresh()

    def show_record(self, record_id: str) -> None:
        """Select a batch in the list."""
        if record_id in self.session.season.book.batches:
            self.list.select([record_id])

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The form's fields stand in more lines where the window is narrow."""
        super().resizeEvent(event)
        letter = self.fontMetrics().horizontalAdvance("n")
        self.chosen.setVisible(self.width() >= _BESIDE_LETTERS * letter)
        bar = self._upper.verticalScrollBar().sizeHint().width()
        self.form.fields.fit_to(self.width() - 2 * _SIDE_PX - bar)
        self._keep_room()

    def showEvent(self, event: QShowEvent) -> None:
        """Come ready for counts to be typed."""
        super().showEvent(event)
        self.form.focus_counts()
        # Only then are the fields where they will stand.
        QTimer.singleShot(0, self, self._keep_counts_in_sight)

    def _keep_counts_in_sight(self) -> None:
        self._upper.ensureWidgetVisible(self.form.fields.counts_line, 0, 8)

    def show_low(self, low: bool) -> None:
        """What is expected leaves its lines to the batches; its button's hint says it too."""
        self.expected.setVisible(not low)
        self.list.be_tight(low)
        self._keep_room()

    def _keep_room(self) -> None:
        """Refusals have room before there are any, so that the list does not jump: that of a
        question with its buttons, where height is scarce that of a line, in the last resort none.
        """
        low = bool(self._is_low)
        lines = self.height() // max(self.fontMetrics().lineSpacing(), 1)
        self.form.told.keep_room(buttons=not low, lines=int(lines >= _LEAST_LINES))
        layout = self.layout()
        assert layout is not None
        layout.setSpacing(_LOW_GAP_PX if low else _GAP_PX)
        top, bottom = _LOW_MARGINS_PX if low else _MARGINS_PX
        layout.setContentsMargins(_SIDE_PX, top, _SIDE_PX, bottom)

    def keep_draft(self) -> None:
        """Keep the half-filled form."""
        self.form.keep_draft()

    def _show_chosen(self) -> None:
        selected = self.list.selected()
        self.chosen.show_batch(selected[0] if len(selected) == 1 else None)

    def _on_added(self, batches: object) -> None:
        if isinstance(batches, tuple):
            self.list.select([batch.id for batch in batches])

    def _move(self, batch_ids: Sequence[str]) -> None:
        ask(MoveDialog(self.session, batch_ids, self))

    def _print_labels(self, batch_ids: Sequence[str]) -> None:
        from ripenroom.window.paper.label_dialog import LabelDialog

        ask(LabelDialog(self.session, batch_ids, self))

    def _delete(self, batch_ids: Sequence[str]) -> None:
        # No question first: undo brings everything back, and the line at the foot says so.
        many = len(batch_ids)
        codes = ", ".join(self.session.season.book.batches[i].code for i in batch_ids)
        self.session.do(
            tr_n(
                "Deleted {codes}. Ctrl+Z brings it back.",
                "Deleted {codes}. Ctrl+Z brings them back.",
                many,
            ).format(codes=codes),
            actions.batches.delete,
            batch_ids,
        )
