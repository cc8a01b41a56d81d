"""First steps, what each page is for, and what the words mean."""

from typing import NamedTuple

from ripenroom.texts import tr
from ripenroom.wording.formats import in_percent


class Step(NamedTuple):
    """One of the first steps; ``picture`` names its drawing."""

    picture: str
    heading: str
    text: str


def first_steps() -> list[Step]:
    """From the first pick to the first market day."""
    return [
        Step(
            "feels",
            tr("1. Save what you picked"),
            tr(
                "Squeeze each fruit as you pick it and count by feel, hard to soft. On Picks, "
                "type the counts in one go (3 9 6 2) and press Enter."
            ),
        ),
        Step(
            "window",
            tr("2. See when it is good"),
            tr(
                "Each feel becomes a batch with its eat-by window: when it starts to be good and "
                "until when. Soft ends of a bar mean that the date is not sure yet."
            ),
        ),
        Step(
            "places",
            tr("3. Say where it waits"),
            tr(
                "Cold keeps fruit back, a shelf lets it ripen. Enter your places with their "
                "temperatures on Places; the bars move when you turn a thermostat or move crates."
            ),
        ),
        Step(
            "market",
            tr("4. Say where you sell"),
            tr(
                "Enter market days and what they want. The plan says which crates go to which "
                "day, and on which evening to bring them into the warm."
            ),
        ),
        Step(
            "check",
            tr("5. Each day: do what Today says"),
            tr(
                "Do the lines on Today and tick them. Squeeze a few fruit again where it asks for "
                "that: every check makes the dates surer."
            ),
        ),
    ]


def page_help(page: str) -> tuple[str, ...]:
    """What a page (by its name) is for, in a few short paragraphs."""
    return {
        "today": (
            tr("What to do by this evening, in order, and what to keep an eye on."),
            tr("Tick a line when it is done: with that, the move, check or sale is saved."),
            tr("Below, it says what stays where it is and why. Ctrl+P prints the page."),
        ),
        "rows": (
            tr("What hangs on the trees: how much to pick now, and how much soon."),
            tr(
                "Squeeze fruit on the trees without picking, and save that as a squeeze walk. The "
                "walk sheet is for a pencil; the form to type it in has the same lines."
            ),
            tr("Weather and frost dates make the forecast better. Dropped fruit is never sold."),
        ),
        "picks": (
            tr("Save each pick here, and find every batch with what is left of it."),
            tr(
                "Counts by feel are best. If you only weigh, say how the fruit feels, or the "
                "dates are less sure."
            ),
            tr(
                "Keys in the list: C check, M move, S sold, D discard, E edit, L labels. For "
                "picks still to come press Expected picks."
            ),
        ),
        "queue": (
            tr("All batches over the coming days: one line each, its bar is its eat-by window."),
            tr(
                "Light means not ready yet, dark ready, hatched past. Bands across are market "
                "days, with what they want and what the plan brings."
            ),
            tr(
                "Select a batch to see its planned moves. Drag a mark, or press Shift or Alt with "
                "an arrow key, to try another evening or market day; Enter pins it."
            ),
        ),
        "plan": (
            tr(
                "Which crates go where and when, what that brings, and whether the moves are "
                "worth it."
            ),
            tr("Pin a line to keep it as it is. The plan is made again after every change."),
            tr(
                "Advice says how best to set thermostats, and what more room, hands or buyers "
                "would bring."
            ),
        ),
        "market_days": (
            tr("When and where you sell, what each day wants, and what will be good to sell then."),
            tr("K: squeeze and pack for a day. P: print its packing list. A: what became of it."),
        ),
        "review": (
            tr("What became of the fruit, how right the dates were, and what was learned."),
            tr("Next season can start from what was learned."),
        ),
        "places": (
            tr("Cold rooms, shelves and counters: temperature, room for crates, what waits there."),
            tr(
                "Turn a thermostat with the arrow keys and see on the right what that does to the "
                "dates; Enter sets it, Esc goes back. You can import a thermometer’s file."
            ),
        ),
        "crops": (
            tr("What each crop is known for: how fast it softens, where the figures come from."),
            tr(
                "You can change a figure; say where it comes from. Published compares it all with "
                "what others found."
            ),
        ),
    }[page]


def words() -> list[tuple[str, str]]:
    """The words of the program, by the alphabet of their language."""
    found = [
        (
            tr("Batch"),
            tr("Fruit of one pick, one cultivar and one feel. Its code is on the label."),
        ),
        (tr("Bring into the warm"), tr("Take fruit out of the cold so that it ripens in time.")),
        (tr("Check"), tr("Squeezing or measuring some fruit of a batch again.")),
        (
            tr("Cools halfway in"),
            tr("How long warm fruit takes to get halfway to the air’s temperature."),
        ),
        (tr("Eat-by window"), tr("The days on which a batch is good to eat.")),
        (
            tr("Expected pick"),
            tr("A pick still to come that you have entered; the plan counts on it."),
        ),
        (tr("Feel"), tr("Hard, slight give, gives, soft, too soft: what your thumb feels.")),
        (
            tr("Good to sell"),
            tr(
                "Not past when the market day begins, and ready then or within the days in which "
                "its buyers eat it."
            ),
        ),
        (
            tr("Fruit temperature"),
            tr("The temperature inside the fruit, which follows the room’s."),
        ),
        (
            tr("Likely pick"),
            tr(
                "A pick that the program expects, from walked rows or your last picks, until you "
                "change it."
            ),
        ),
        (tr("Market day"), tr("A place and time of sale: market, farm stand, festival, order.")),
        (tr("Not ready yet"), tr("Ripening, but not good to eat yet.")),
        (tr("Past"), tr("Too soft to sell.")),
        (tr("Pin"), tr("Fixes where crates go and when; the plan works around it.")),
        (tr("Place"), tr("Where fruit waits: cold room, cool shelf, ripening room, counter.")),
        (tr("Plan"), tr("Which crates go where, and when, until their market day.")),
        (tr("Ready"), tr("Good to eat now.")),
        (tr("Row"), tr("Trees of one cultivar that are picked together.")),
        (tr("Second grade"), tr("Fruit sold for less, for jam or pulp.")),
        (tr("Squeeze walk"), tr("Squeezing fruit on the trees to see how far it is.")),
        (tr("Wants"), tr("What a market day can sell: how much of which crop, at which price.")),
        (tr("Won't ripen"), tr("Picked so hard that it never becomes good.")),
        (
            tr("May not ripen"),
            tr("Firm fruit that may never become good: squeeze it again before you clear it."),
        ),
        (
            f"24–27 ({in_percent(80)})",
            tr("A range that should hold four times in five."),
        ),
    ]
    return sorted(found, key=lambda pair: pair[0].casefold())
