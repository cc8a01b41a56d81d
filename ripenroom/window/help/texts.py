"""The help texts."""

from collections.abc import Iterable

from ripenroom import __version__
from ripenroom.records.crop.profile import CropProfile
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
                ("Ctrl+Shift+Z", tr("Do it again")),
                ("Ctrl+N", tr("New season")),
                ("Ctrl+O", tr("Open a season file")),
                ("Ctrl+Shift+S", tr("Save a copy")),
                ("Ctrl+T", tr("Bring in a table")),
                ("Ctrl+Shift+V", tr("Paste a table")),
                ("Ctrl+P", tr("Print the page of today")),
                ("F5", tr("Make the plan again")),
                ("Shift+F5", tr("Stop planning")),
                ("Ctrl+Q", tr("Quit; everything is saved")),
                ("F1", tr("This page")),
            ],
        ),
        (
            tr("Today: the day sheet"),
            [
                (
                    tr("Space, Enter"),
                    tr("It is done: tick the line"),
                ),
                ("↑ ↓", tr("The line before, the next line")),
            ],
        ),
        (
            tr("Picks: writing one down"),
            [
                ("3 9 6 2", tr("Fruit by hand feel, hard to soft")),
                ("Enter", tr("Add the pick")),
                ("Ctrl+F", tr("Find in the list of batches")),
                ("Ctrl+E", tr("Picks that are expected")),
            ],
        ),
        (
            tr("Picks: in the list of batches"),
            [
                ("Enter", tr("Open the batch")),
                ("C", tr("Check: squeeze some fruit")),
                ("M", tr("Move to another place")),
                ("S", tr("Write down fruit sold")),
                ("D", tr("Write down fruit discarded")),
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
                ("Enter", tr("Write it down")),
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
                ("Ins", tr("Add a market day")),
            ],
        ),
        (
            tr("Shelf queue: the plan of the selected batch"),
            [
                ("Shift+← →", tr("Try an earlier, later evening")),
                ("Alt+← →", tr("Try another market day")),
                ("Enter", tr("Pin what is tried")),
                ("Esc", tr("Leave it as planned")),
                ("P", tr("Pin as planned, or take the pin off")),
                ("W", tr("The next crates of a split batch")),
                ("D", tr("Decide for this batch")),
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
                ("Enter", tr("Change it")),
                ("Del", tr("Delete it")),
                ("K", tr("Squeeze and pack for it")),
                ("P", tr("Print its packing list")),
                ("A", tr("After the market: what became of it")),
                ("G", tr("What second grade brings")),
                (
                    tr("A, in a number of that form"),
                    tr("All of that batch was sold"),
                ),
            ],
        ),
        (
            tr("Places: set points"),
            [
                ("← →", tr("Try the next cooler, warmer step")),
                ("Enter", tr("Set it")),
                ("Esc", tr("Back to what it was")),
                ("Alt+L", tr("Take in a thermometer’s file")),
            ],
        ),
        (
            tr("Crops"),
            [
                ("Enter", tr("Edit the selected figure")),
            ],
        ),
    ]


def cautions(crops: Iterable[CropProfile]) -> list[tuple[str, str]]:
    """What can hurt people, and what these estimates are not."""
    texts = [
        (
            tr("Fruit"),
            tr(
                "Fruit that fell or was dropped is not sold. Some people react badly to pawpaw: "
                "say so to those who taste it for the first time."
            ),
        ),
        (
            tr("Closed rooms"),
            tr(
                "Fruit breathes: a closed room may lack oxygen and hold carbon dioxide. Ventilate "
                "before you enter. Ethylene is flammable. A cold room must open from inside."
            ),
        ),
        (
            tr("Estimates"),
            tr(
                "The eat-by windows are estimates from published figures and from what was "
                "written down. They are not food-safety advice. Local codes and licensed practice "
                "come first."
            ),
        ),
    ]
    texts += [(crop.name, " ".join(crop.cautions)) for crop in crops if crop.cautions]
    return texts


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
                "This program contacts no network: it sends nothing, fetches nothing and looks "
                "for no updates. Season files, their copies and what is written out of them can "
                "be read by your user account only. A season, a table or a crop profile from "
                "somebody else is only read as data: nothing in it is run."
            ),
        ),
    ]
