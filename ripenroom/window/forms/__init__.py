"""Forms in which one record is written down or changed, opened from any page."""

from PySide6.QtWidgets import QWidget

from ripenroom.window.session import Session


def open_check(
    session: Session, batch_id: str, parent: QWidget, check_id: str | None = None
) -> None:
    """Ask what fruit of a batch feels like now; or show a check (its id) to be mended."""
    from ripenroom.window.dialogs import ask
    from ripenroom.window.forms.check import CheckDialog

    if batch_id in session.season.book.batches:
        ask(CheckDialog(session, batch_id, check_id, parent))
