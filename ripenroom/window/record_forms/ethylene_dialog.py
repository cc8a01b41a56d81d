"""Giving a batch ethylene, so that it need not wait for its cold or trigger."""

import math

from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Batch
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.forms.typed_line import TypedLine, typed_number
from ripenroom.window.forms.when import WhenEdit
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.session import Session

_HOURS_PER_DAY = 24.0
_QUARTER_H = 6.0


def opened_by_ethylene(season: Season, batch: Batch) -> bool:
    """Whether ethylene does anything for a batch here."""
    crop = season.profile_of(batch.id)
    return crop is not None and crop.gate is not None and crop.gate.ethylene_days is not None


def _usual_hours(days: float) -> float:
    """Hours that are enough, in quarters of a day: nobody times a ripening room by the minute."""
    return _QUARTER_H * math.ceil(days * _HOURS_PER_DAY / _QUARTER_H - 1e-9)


class EthyleneDialog(FormDialog):
    """Asks for how long and from when on; says first what can go wrong."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._batch_id = batch_id
        season, words = session.season, session.words
        batch = season.book.batches[batch_id]
        self.setWindowTitle(self.tr("Ethylene for {code}").format(code=batch.code))
        self.action_button.setText(self.tr("Write down"))
        caution = WrappedLabel(
            self.tr(
                "! Ethylene burns and explodes: use it only with the proper equipment, in a room "
                "that is made for it, and ventilate before you go in. Local codes and licensed "
                "practice come first."
            ),
            self,
        )
        caution.setObjectName("refusal")
        self.body.addWidget(caution)
        self.hours = TypedLine(6)
        crop = season.profile_of(batch.id)
        if crop is not None and crop.gate is not None and crop.gate.ethylene_days is not None:
            days = crop.gate.ethylene_days
            self.hours.setText(words.number(_usual_hours(days.value)))
            self.body.addWidget(
                WrappedLabel(
                    self.tr("{crop} needs {hours} h of it ({low}–{high}).").format(
                        crop=crop.name,
                        hours=words.number(_usual_hours(days.value)),
                        low=words.number(days.low * _HOURS_PER_DAY),
                        high=words.number(days.high * _HOURS_PER_DAY),
                    ),
                    self,
                )
            )
        self.when = WhenEdit(session, "near")
        self.add("hours", Field(self.tr("&Hours"), self.hours))
        self.add("at", Field(self.tr("&From"), self.when))
        self.fit()
        self.hours.setFocus()
        self.hours.selectAll()

    def carry_out(self) -> None:
        """Write the treatment down."""
        hours = typed_number(self.hours, self.session.words, "hours")
        self.session.season.do(
            actions.treatments.treat, [self._batch_id], hours, self.when.moment()
        )
