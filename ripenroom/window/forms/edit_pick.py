"""Changing what was written down about a pick."""

from dataclasses import replace

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Batch
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.units import mass_in, temperature_in
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.firmness_inputs import written
from ripenroom.window.forms.pick_fields import PickFields
from ripenroom.window.session import Session
from ripenroom.window.widgets.form_dialog import FormDialog


class EditPickDialog(FormDialog):
    """The fields of a pick, filled with a batch; where it waits is changed by moving it."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        batch = session.season.book.batches[batch_id]
        super().__init__(session, parent)
        self.setWindowTitle(tr("Edit {code}").format(code=batch.code))
        self.action_button.setText(tr("Save"))
        self._batch = batch
        self.pick = PickFields(session, self)
        self.board.fields.update(self.pick.fields)
        self.pick.make_offers(self.board)
        self.pick.restore(self._state_of(batch))
        if batch.crop not in session.season.crops:
            # What is not offered must be chosen anew, not become the first that is.
            self.pick.crop.setCurrentIndex(-1)
        self.pick.edited.connect(self.board.forget_answers)
        self.pick.fields["place_id"].hide()
        self.body.addWidget(self.pick)
        self.pick.fit_to(self.fields_room_px(room_for(self).width()))
        self.fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The fields stand in more lines where the dialog is narrow."""
        super().resizeEvent(event)
        self.pick.fit_to(self.fields_room_px(self.width()))

    def carry_out(self) -> None:
        """Save the changed pick."""
        entry = self.pick.entry(split_by_feel=False)
        self.session.season.do(
            actions.batches.change,
            replace(
                self._batch,
                crop=entry.crop,
                picked_at=entry.picked_at,
                cultivar_id=entry.cultivar_id,
                row_id=entry.row_id,
                count=entry.count,
                weight_kg=entry.weight_kg,
                feel_counts=entry.feel_counts,
                readings=entry.readings,
                reading_unit=entry.reading_unit,
                probe_mm=entry.probe_mm,
                pulp_c=entry.pulp_c,
                note=entry.note,
            ),
            self.board.answered,
        )

    def _state_of(self, batch: Batch) -> dict[str, str]:
        words = self.session.words

        def shown(value: float | None, decimals: int) -> str:
            if value is None:
                return ""
            # Every digit that was typed is shown again, and no other.
            return words.figures(round(value, decimals), 12)

        weight = None if batch.weight_kg is None else mass_in(batch.weight_kg, words.mass_unit)
        unit = words.temperature_unit
        pulp = None if batch.pulp_c is None else temperature_in(batch.pulp_c, unit)
        place = self.session.season.place_of(batch.id)
        return {
            "when": batch.picked_at.isoformat(),
            "row": batch.row_id or "",
            "crop": f"{batch.crop}\t{batch.cultivar_id or ''}",
            "place": place.id if place else "",
            "feel": written(batch.feel_counts) if batch.feel_counts else "",
            "count": "" if batch.count is None else str(batch.count),
            "weight": shown(weight, 4),
            "readings": " ".join(shown(reading, 6) for reading in batch.readings),
            "reading_unit": batch.reading_unit or self.session.words.force_unit,
            "probe": shown(batch.probe_mm, 3),
            "pulp": shown(pulp, 4),
            "pulp_unit": unit,
            "note": batch.note,
        }
