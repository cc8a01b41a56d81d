"""The help texts."""

from collections.abc import Iterable

from PySide6.QtCore import QCoreApplication

from ripenroom import __version__
from ripenroom.records.crop.profile import CropProfile


def keyboard() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every shortcut, by where it works."""
    return [
        (
            QCoreApplication.translate("Help", "Everywhere"),
            [
                ("Alt+1 … Alt+8", QCoreApplication.translate("Help", "Go to a page")),
                ("Tab, Shift+Tab", QCoreApplication.translate("Help", "Next, previous control")),
                ("Ctrl+Z", QCoreApplication.translate("Help", "Undo the last change")),
                ("Ctrl+Shift+Z", QCoreApplication.translate("Help", "Do it again")),
                ("Ctrl+N", QCoreApplication.translate("Help", "New season")),
                ("Ctrl+O", QCoreApplication.translate("Help", "Open a season file")),
                ("Ctrl+Shift+S", QCoreApplication.translate("Help", "Save a copy")),
                ("Ctrl+T", QCoreApplication.translate("Help", "Bring in a table")),
                ("Ctrl+Shift+V", QCoreApplication.translate("Help", "Paste a table")),
                ("Ctrl+P", QCoreApplication.translate("Help", "Print the page of today")),
                ("F5", QCoreApplication.translate("Help", "Make the plan again")),
                ("Shift+F5", QCoreApplication.translate("Help", "Stop planning")),
                ("Ctrl+Q", QCoreApplication.translate("Help", "Quit; everything is saved")),
                ("F1", QCoreApplication.translate("Help", "This page")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Today: the day sheet"),
            [
                (
                    QCoreApplication.translate("Help", "Space, Enter"),
                    QCoreApplication.translate("Help", "It is done: tick the line"),
                ),
                ("↑ ↓", QCoreApplication.translate("Help", "The line before, the next line")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Picks: writing one down"),
            [
                ("3 9 6 2", QCoreApplication.translate("Help", "Fruit by hand feel, hard to soft")),
                ("Enter", QCoreApplication.translate("Help", "Add the pick")),
                ("Ctrl+F", QCoreApplication.translate("Help", "Find in the list of batches")),
                ("Ctrl+E", QCoreApplication.translate("Help", "Picks that are expected")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Picks: in the list of batches"),
            [
                ("Enter", QCoreApplication.translate("Help", "Open the batch")),
                ("C", QCoreApplication.translate("Help", "Check: squeeze some fruit")),
                ("M", QCoreApplication.translate("Help", "Move to another place")),
                ("S", QCoreApplication.translate("Help", "Write down fruit sold")),
                ("D", QCoreApplication.translate("Help", "Write down fruit discarded")),
                ("E", QCoreApplication.translate("Help", "Edit the pick")),
                ("L", QCoreApplication.translate("Help", "Print labels for the crates")),
                ("Del", QCoreApplication.translate("Help", "Delete the batch")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Checks"),
            [
                ("1 … 5", QCoreApplication.translate("Help", "One more fruit, hardest to softest")),
                (
                    QCoreApplication.translate("Help", "Backspace"),
                    QCoreApplication.translate("Help", "Take back the last fruit or reading"),
                ),
                ("Alt+N", QCoreApplication.translate("Help", "Go on to the next batch")),
                ("Enter", QCoreApplication.translate("Help", "Write it down")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Shelf queue"),
            [
                ("↑ ↓", QCoreApplication.translate("Help", "The next batch")),
                ("← →", QCoreApplication.translate("Help", "The next day")),
                ("Home", QCoreApplication.translate("Help", "Back to today")),
                ("+ −", QCoreApplication.translate("Help", "Fewer days, more days")),
                ("0", QCoreApplication.translate("Help", "The whole season")),
                ("Enter", QCoreApplication.translate("Help", "Open the batch")),
                ("Ins", QCoreApplication.translate("Help", "Add a market day")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Shelf queue: the plan of the selected batch"),
            [
                ("Shift+← →", QCoreApplication.translate("Help", "Try an earlier, later evening")),
                ("Alt+← →", QCoreApplication.translate("Help", "Try another market day")),
                ("Enter", QCoreApplication.translate("Help", "Pin what is tried")),
                ("Esc", QCoreApplication.translate("Help", "Leave it as planned")),
                ("P", QCoreApplication.translate("Help", "Pin as planned, or take the pin off")),
                ("W", QCoreApplication.translate("Help", "The next crates of a split batch")),
                ("D", QCoreApplication.translate("Help", "Decide for this batch")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Plan: every crate"),
            [
                ("P", QCoreApplication.translate("Help", "Pin the line, or take its pin off")),
                ("Ctrl+C", QCoreApplication.translate("Help", "Copy the chosen lines, or all")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Market days"),
            [
                ("Ins", QCoreApplication.translate("Help", "Add a market day")),
                ("Enter", QCoreApplication.translate("Help", "Change it")),
                ("Del", QCoreApplication.translate("Help", "Delete it")),
                ("K", QCoreApplication.translate("Help", "Squeeze and pack for it")),
                ("P", QCoreApplication.translate("Help", "Print its packing list")),
                ("A", QCoreApplication.translate("Help", "After the market: what became of it")),
                ("G", QCoreApplication.translate("Help", "What second grade brings")),
                (
                    QCoreApplication.translate("Help", "A, in a number of that form"),
                    QCoreApplication.translate("Help", "All of that batch was sold"),
                ),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Places: set points"),
            [
                ("← →", QCoreApplication.translate("Help", "Try the next cooler, warmer step")),
                ("Enter", QCoreApplication.translate("Help", "Set it")),
                ("Esc", QCoreApplication.translate("Help", "Back to what it was")),
                ("Alt+L", QCoreApplication.translate("Help", "Take in a thermometer’s file")),
            ],
        ),
        (
            QCoreApplication.translate("Help", "Crops"),
            [
                ("Enter", QCoreApplication.translate("Help", "Edit the selected figure")),
            ],
        ),
    ]


def cautions(crops: Iterable[CropProfile]) -> list[tuple[str, str]]:
    """What can hurt people, and what these estimates are not."""
    texts = [
        (
            QCoreApplication.translate("Help", "Fruit"),
            QCoreApplication.translate(
                "Help",
                "Fruit that fell or was dropped is not sold. Some people react badly to pawpaw: "
                "say so to those who taste it for the first time.",
            ),
        ),
        (
            QCoreApplication.translate("Help", "Closed rooms"),
            QCoreApplication.translate(
                "Help",
                "Fruit breathes: a closed room may lack oxygen and hold carbon dioxide. Ventilate "
                "before you enter. Ethylene is flammable. A cold room must open from inside.",
            ),
        ),
        (
            QCoreApplication.translate("Help", "Estimates"),
            QCoreApplication.translate(
                "Help",
                "The eat-by windows are estimates from published figures and from what was "
                "written down. They are not food-safety advice. Local codes and licensed practice "
                "come first.",
            ),
        ),
    ]
    texts += [(crop.name, " ".join(crop.cautions)) for crop in crops if crop.cautions]
    return texts


def about() -> list[tuple[str, str]]:
    """What this program is."""
    return [
        (
            QCoreApplication.translate("Help", "ripenroom {version}").format(version=__version__),
            QCoreApplication.translate(
                "Help",
                "From a pick to an eat-by window: softening, storage and market days for a small "
                "fruit grower. A season is one file that is yours.",
            ),
        ),
        (
            QCoreApplication.translate("Help", "Your records stay with you"),
            QCoreApplication.translate(
                "Help",
                "This program contacts no network: it sends nothing, fetches nothing and looks "
                "for no updates. Season files, their copies and what is written out of them can "
                "be read by your user account only. A season, a table or a crop profile from "
                "somebody else is only read as data: nothing in it is run.",
            ),
        ),
    ]
