"""Checks: squeezing fruit of a batch again, and writing down what it felt like."""

from PySide6.QtWidgets import QWidget

from ripenroom.window.session import Session


def open_check(
    session: Session, batch_id: str, parent: QWidget, check_id: str | None = None
) -> None:
    """Ask what fruit of a batch feels like now; or show a check (its id) to be mended."""
    from ripenroom.window.checks.dialog import CheckDialog
    from ripenroom.window.dialogs import ask

    if batch_id in session.season.book.batches:
        ask(CheckDialog(session, batch_id, check_id, parent))
