"""Going back to a copy that was kept, and taking in one that was changed elsewhere."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from ripenroom.days import full_moment
from ripenroom.records.book import put_and_deleted
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import Action
from ripenroom.season.copies import Merge, Side, changes_back_to
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr


def go_back_to(state: SeasonState, backup: Path, kept_at: datetime) -> Action:
    """Make the records what they are in a copy."""
    put, deleted = put_and_deleted(changes_back_to(state.book, backup))
    at = kept_at.astimezone(state.zone)
    return Action(tr("going back to the copy of {at}").format(at=full_moment(at)), put, deleted)


def take_in(state: SeasonState, meeting: Merge, choices: Mapping[str, Side], name: str) -> Action:
    """Bring a meeting together in the open season."""
    if meeting.mine != state.book:
        raise Refusal("", "The season has changed since; compare the two copies again.")
    put, deleted = put_and_deleted(meeting.changes(choices))
    return Action(tr("changes from {name}").format(name=name), put, deleted)
