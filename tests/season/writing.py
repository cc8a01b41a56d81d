"""Writing records down that no action of the program would make."""

from ripenroom.season.actions.action import Action
from ripenroom.season.season import Season


def write(season: Season, action: Action) -> None:
    """Carry out an action that is made already."""
    season.do(lambda _state: action)
