"""The list of picks that are expected: add, change, delete; and of those that are likely."""

from dataclasses import replace

from PySide6.QtWidgets import QWidget

from ripenroom.records.book import new_id
from ripenroom.season import actions
from ripenroom.season.plans.plan import LikelyPick
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask, room_for
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.record_list import RecordList, RecordsDialog
from ripenroom.wording.plan.expected_picks import (
    expected_line,
    expected_picks,
    likely_ahead,
    likely_line,
    what_is_expected,
)


class ExpectedPicksDialog(RecordsDialog):
    """Picks that are expected, and those that are likely.

    Below the picks that are expected stand, in italics, those that the last days' picks make
    likely: with Enter a number of one's own takes their place, or nothing more comes.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._likely: dict[str, LikelyPick] = {}
        self.setWindowTitle(tr("Expected picks"))
        self.picks = RecordList(
            tr("Expected picks"),
            tr(
                "No pick is expected. Add what the trees will bring, and the plan keeps room and "
                "market days for it."
            ),
            self,
        )
        self.picks.list.setWordWrap(True)
        self.picks.addAsked.connect(lambda: ask(ExpectedPickDialog(session, None, self)))
        self.picks.editAsked.connect(self._edit)
        self.picks.deleteAsked.connect(self._delete)
        self.end_button = self.picks.add_a_button(tr("&No more to pick"))
        set_hint(
            self.end_button,
            tr("This crop is all picked: the plan expects no more of it from that day on"),
        )
        self.end_button.clicked.connect(self._end)
        self.picks.list.currentRowChanged.connect(self._show_choice)
        self.body.addWidget(self.picks, 1)
        session.changed.connect(self._on_changed)
        self.refresh()
        room = room_for(self)
        letter = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(70 * letter, room.width()), min(44 * letter, room.height()))
        # With nothing to choose from, what comes next is to add.
        self.picks.begin()

    def _on_changed(self, changed: Changed) -> None:
        if changed.records or changed.clock:
            self.refresh()

    def refresh(self) -> None:
        """Show the picks that are expected and likely as they are now."""
        self.note.clear()
        ahead = likely_ahead(self.session)
        self._likely = {one.pick.id: one for one in ahead}
        said = [
            (pick.id, expected_line(pick, self.session)) for pick in expected_picks(self.session)
        ]
        likely = [(one.pick.id, likely_line(one, self.session)) for one in ahead]
        self.picks.show_records([*said, *likely])
        for row in range(len(said), len(said) + len(likely)):
            item = self.picks.list.item(row)
            font = item.font()
            font.setItalic(True)
            item.setFont(font)
        self.end_button.setVisible(bool(likely))
        self._show_choice()
        self.picks.setEnabled(self.session.season.read_only_because is None)

    def _show_choice(self) -> None:
        """Offer what can be done with the line that is chosen."""
        likely = self.picks.current() in self._likely
        self.end_button.setEnabled(likely)
        self.picks.delete_button.setEnabled(self.picks.current() is not None and not likely)

    def _edit(self, pick_id: str) -> None:
        likely = self._likely.get(pick_id)
        if likely is None:
            ask(ExpectedPickDialog(self.session, pick_id, self))
        else:
            start = replace(likely.pick, count=likely.count.mid)
            ask(ExpectedPickDialog(self.session, None, self, start))

    def _end(self) -> None:
        """Nothing more comes from the day of the likely pick that is chosen on."""
        chosen = self._likely.get(self.picks.current() or "")
        if chosen is None:
            return
        likely = chosen.pick
        season = self.session.season
        before = (
            pick.id
            for pick in season.book.expected_picks.values()
            if pick.nothing_more and (pick.crop, pick.cultivar_id) == (likely.crop, None)
        )
        end = replace(likely, id=next(before, new_id()), count=0)
        self.run(
            tr("{what}. Ctrl+Z brings it back.").format(what=what_is_expected(end, self.session)),
            lambda: season.do(actions.ahead.save_expected_pick, end),
        )

    def _delete(self, pick_id: str) -> None:
        season = self.session.season
        self.run_deletion(lambda: season.do(actions.ahead.delete_expected_pick, pick_id))
