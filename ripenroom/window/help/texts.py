"""The help texts."""

from collections.abc import Iterable

from ripenroom import __version__
from ripenroom.texts import tr


def keyboard() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every shortcut, by where it works."""
    return [
        (
            tr("Everywhere"),
            [
                ("Alt+1 … Alt+9", tr("Go to a page")),
                ("Tab, Shift+Tab", tr("Next, previous control")),
                ("Ctrl+Z", tr("Undo the last change")),
                ("Ctrl+Shift+Z", tr("Redo")),
                ("Ctrl+N", tr("New season")),
                ("Ctrl+O", tr("Open a season file")),
                ("Ctrl+Shift+S", tr("Save a copy as a new file")),
                ("Ctrl+T", tr("Import a table")),
                ("Ctrl+Shift+V", tr("Paste a table")),
                ("Ctrl+P", tr("Print today’s page")),
                ("F5", tr("Make the plan again")),
                ("Shift+F5", tr("Stop planning")),
                ("Ctrl+Q", tr("Quit; everything is saved")),
                ("F1", tr("Help on the page in front")),
            ],
        ),
        (
            tr("Today: the day sheet"),
            [
                (
                    tr("Space, Enter"),
                    tr("Tick the line: it is done"),
                ),
                ("↑ ↓", tr("The line before, the next line")),
            ],
        ),
        (
            tr("Picks: entering one"),
            [
                ("3 9 6 2", tr("Fruit by hand feel, hard to soft")),
                ("Enter", tr("Add the pick")),
                ("Ctrl+F", tr("Find in the list of batches")),
                ("Ctrl+E", tr("Expected picks")),
            ],
        ),
        (
            tr("Picks: in the list of batches"),
            [
                ("Enter", tr("Open the batch")),
                ("C", tr("Check: squeeze some fruit")),
                ("M", tr("Move to another place")),
                ("S", tr("Enter fruit sold")),
                ("D", tr("Enter fruit discarded")),
                ("E", tr("Edit the pick")),
                ("L", tr("Print labels for the crates")),
                ("Del", tr("Delete the batch")),
            ],
        ),
        (
            tr("Checks"),
            [
                ("1 … 5", tr("One more fruit, hardest to softest")),
                (
                    tr("Backspace"),
                    tr("Take back the last fruit or reading"),
                ),
                ("Alt+N", tr("Go on to the next batch")),
                ("Enter", tr("Save")),
            ],
        ),
        (
            tr("Shelf queue"),
            [
                ("↑ ↓", tr("The next batch")),
                ("← →", tr("The next day")),
                ("Home", tr("Back to today")),
                ("+ −", tr("Fewer days, more days")),
                ("0", tr("The whole season")),
                ("Enter", tr("Open the batch")),
                ("C", tr("Check: squeeze some fruit")),
                ("Ins", tr("Add a market day")),
            ],
        ),
        (
            tr("Shelf queue: the plan of the selected batch"),
            [
                ("Shift+← →", tr("Try an earlier, later evening")),
                ("Alt+← →", tr("Try another market day")),
                ("Enter", tr("Pin it there")),
                ("Esc", tr("Leave it as planned")),
                ("P", tr("Pin as planned, or take the pin off")),
                ("W", tr("The next crates of a split batch")),
                ("D", tr("Plan this batch yourself")),
            ],
        ),
        (
            tr("Plan: every crate"),
            [
                ("P", tr("Pin the line, or take its pin off")),
                ("Ctrl+C", tr("Copy the chosen lines, or all")),
            ],
        ),
        (
            tr("Market days"),
            [
                ("Ins", tr("Add a market day")),
                ("Enter", tr("Edit it")),
                ("Del", tr("Delete it")),
                ("K", tr("Squeeze and pack for it")),
                ("P", tr("Print its packing list")),
                ("A", tr("After the market: what became of it")),
                ("G", tr("What second grade brings")),
                (
                    tr("A, in a number there"),
                    tr("All of that batch was sold"),
                ),
            ],
        ),
        (
            tr("Places: temperatures"),
            [
                ("← →", tr("Try the next cooler, warmer step")),
                ("Enter", tr("Set it")),
                ("Esc", tr("Back to what it was")),
                ("Alt+L", tr("Import a thermometer’s file")),
            ],
        ),
        (
            tr("Crops"),
            [
                ("Enter", tr("Edit the selected figure")),
            ],
        ),
    ]


def cautions(of_crops: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """What can hurt people, and what these estimates are not; then crops with their cautions."""
    texts = [
        (
            tr("Fruit"),
            tr(
                "Do not sell fruit that fell or was dropped. Some people react badly to pawpaw: "
                "say so to those who taste it for the first time."
            ),
        ),
        (
            tr("Closed rooms"),
            tr(
                "Fruit breathes: a closed room may lack oxygen and hold carbon dioxide. Ventilate "
                "before you go in. Ethylene is flammable. A cold room must open from inside."
            ),
        ),
        (
            tr("Estimates"),
            tr(
                "Eat-by windows are estimates from published figures and from what you entered. "
                "They are not food-safety advice. Local codes and licensed practice come first."
            ),
        ),
    ]
    return [*texts, *of_crops]


def about() -> list[tuple[str, str]]:
    """What this program is."""
    return [
        (
            tr("ripenroom {version}").format(version=__version__),
            tr(
                "From a pick to an eat-by window: softening, storage and market days for a small "
                "fruit grower. A season is one file that is yours."
            ),
        ),
        (
            tr("Your records stay with you"),
            tr(
                "This program uses no network: it sends nothing, fetches nothing and looks for no "
                "updates. Only your user account can read season files, their copies and what you "
                "save from them. A season, table or crop from somebody else is only read as data: "
                "nothing in it is run."
            ),
        ),
    ]
