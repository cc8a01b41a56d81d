"""Tables of a plan and its advice: itineraries, packing lists, checks worth it, set points tried.

Each has its columns and one function that makes it as a pandas table. Cells are for computers:
times in the home zone, money in the season's currency with a decimal point.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, TypeAlias

from ripenroom.season.advice.advice import CheckNext, PlaceAdvice, RoomPair, SetPointAdvice
from ripenroom.season.packing import PackingList, PackingOfCrop, PackLine
from ripenroom.season.plans.decisions import Decision, decision_of
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.plans.staying import WhyStaying
from ripenroom.season.season import Season
from ripenroom.texts import noted

if TYPE_CHECKING:
    import pandas as pd

Said: TypeAlias = Callable[[str], str]
"""How our own words in a table are said: as they are in one for files, by which scripts go, and by
:func:`ripenroom.texts.tr` in one that a person reads."""

PLAN_COLUMNS = (
    "crop",
    "feel",
    "fruit",
    "crates",
    "batch",
    "from_place",
    "pull_time",
    "to_place",
    "market_day",
    "expected_ready_share",
    "expected_value",
    "note",
)


def plan_table(season: Season, plan: Plan, said: Said = str) -> "pd.DataFrame":
    """One row per line of the plan, by market day; values in the season's currency.

    ``feel`` is how most of the batch felt when it was last squeezed, ``fruit`` how many go there.
    ``pull_time`` is empty where crates stay, ``market_day`` where they are not sold, and then
    ``to_place`` too where they are cleared away. Where crates are moved twice, ``pull_time`` and
    ``to_place`` are of the last move, and the first is in the ``note``; there stands too what is
    kept for later or past from a day on, pinned, packed, moved as a grower entered it, sold for
    second grade or only expected, in words as they are ``said``.
    """
    import pandas as pd

    why = WhyStaying(season.book, plan, season.projection(), season.zone)
    return pd.DataFrame(
        [_itinerary_cells(season, line, why, said) for line in plan.lines],
        columns=list(PLAN_COLUMNS),
    )


def _itinerary_cells(
    season: Season, line: PlannedItinerary, why: WhyStaying, said: Said
) -> tuple[object, ...]:
    book, sold = season.book, line.market_day_id is not None or line.second_grade
    return (
        _crop_of(season, line),
        season.ask.last_felt(line.batch_id) or "",
        round(line.fruit),
        line.crates,
        _fruit_name(season, line),
        book.places[line.from_place_id].name,
        line.pull_at.isoformat(timespec="minutes") if line.pull_at else "",
        book.places[line.to_place_id].name if line.to_place_id else "",
        day_label(season, line.market_day_id),
        f"{line.expected_ready_share:.3f}" if sold else "",
        money(season, line.expected_value_minor) if sold else "",
        "; ".join(_notes(season, line, why, said)),
    )


def _crop_of(season: Season, line: PlannedItinerary) -> str:
    pick = season.book.expected_picks.get(line.expected_pick_id or "")
    return season.book.batches[line.batch_id].crop if pick is None else pick.crop


def _fruit_name(season: Season, line: PlannedItinerary) -> str:
    """The batch's code, or what will be picked."""
    pick = season.book.expected_picks.get(line.expected_pick_id or "")
    if pick is None:
        return season.book.batches[line.batch_id].code
    return f"{pick.crop} {pick.on:%m%d}"


_DECISIONS = {
    Decision.PACKED: noted("packed"),
    Decision.PINNED: noted("pinned"),
    Decision.WRITTEN: noted("move entered"),
}


def _notes(season: Season, line: PlannedItinerary, why: WhyStaying, said: Said) -> Iterator[str]:
    if line.expected_pick_id is not None:
        yield said(noted("not picked yet"))
    if line.second_grade:
        yield said(noted("second grade"))
    elif line.market_day_id is None and line.to_place_id is not None:
        closes = why.closes(line)
        if why.keeps(line):
            yield said(noted("kept for later"))
        elif closes is not None:
            day = closes.astimezone(season.zone).date().isoformat()
            yield said(noted("past from {day}")).format(day=day)
    decision = decision_of(line, season.moves_of(line.batch_id))
    if decision is not None:
        yield said(_DECISIONS[decision])
    for step in line.steps if line.second_grade else line.steps[:-1]:
        place = season.book.places[step.place_id].name
        at = step.at.isoformat(timespec="minutes")
        yield said(noted("first to {place} {moment}")).format(place=place, moment=at)


PACKING_COLUMNS = (
    "order",
    "do",
    "crop",
    "feel",
    "fruit",
    "crates",
    "batch",
    "place",
    "ready",
    "ready_low",
    "ready_high",
    "later_market_day",
    "note",
)


TAKE, OPEN_NEXT, LEAVE = noted("take"), noted("open next"), noted("leave")
"""What stands in the column ``do``."""


def packing_table(season: Season, packing: PackingList, said: Said = str) -> "pd.DataFrame":
    """What to ``take``, what to ``open next`` in order, what to ``leave``.

    ``ready`` is how many of the fruit are expected to feel ready, with the range that holds it four
    times in five; ``later_market_day`` is what crates that are not planned for this one are for.
    In the ``note`` stands where crates are moved before, and what is kept for later or sold for
    second grade, in words as they are ``said``. What is left has no order.
    """
    import pandas as pd

    rows = [row for crop in packing.crops for row in _packing_rows(season, crop, said)]
    return pd.DataFrame(rows, columns=list(PACKING_COLUMNS))


def _packing_rows(season: Season, crop: PackingOfCrop, said: Said) -> Iterator[tuple[object, ...]]:
    opened = [(TAKE, line) for line in crop.take]
    opened += [(OPEN_NEXT, line) for line in crop.open_next]
    for number, (do, line) in enumerate(opened, start=1):
        yield number, do, *_packing_cells(season, crop.crop, line, said)
    for line in crop.leave:
        yield "", LEAVE, *_packing_cells(season, crop.crop, line, said)


def _packing_cells(season: Season, crop: str, line: PackLine, said: Said) -> tuple[object, ...]:
    book, ready = season.book, line.ready
    return (
        crop,
        season.ask.last_felt(line.batch_id) or "",
        line.fruit,
        line.crates,
        book.batches[line.batch_id].code,
        book.places[line.place_id].name,
        round(ready.mid),
        round(ready.low),
        round(ready.high),
        "" if line.planned else day_label(season, line.later_day_id),
        "; ".join(_packing_notes(season, line, said)),
    )


def _packing_notes(season: Season, line: PackLine, said: Said) -> Iterator[str]:
    if line.moved_to_id is not None:
        place = season.book.places[line.moved_to_id].name
        yield said(noted("once moved to {place}")).format(place=place)
    if line.second_grade_at is not None:
        at = line.second_grade_at.isoformat(timespec="minutes")
        yield said(noted("second grade {moment}")).format(moment=at)
    if line.kept:
        yield said(noted("kept for later"))


CHECK_COLUMNS = (
    *("crop", "feel", "fruit", "batch", "place"),
    *("tells", "due", "market_day", "gain"),
)


def check_table(season: Season, checks: Iterable[CheckNext]) -> "pd.DataFrame":
    """One row per batch of which some ``fruit`` are worth squeezing; times in the home zone.

    ``tells`` is what the check decides, and ``due`` when the first move or market day of the
    batch's own crates comes (empty: none does).
    ``market_day`` is where most of the batch is to go as yet (empty: nowhere), ``gain`` about what
    the plan gains from knowing, in the season's currency.
    """
    import pandas as pd

    return pd.DataFrame(
        [_check_cells(season, check) for check in checks], columns=list(CHECK_COLUMNS)
    )


def _check_cells(season: Season, check: CheckNext) -> tuple[object, ...]:
    batch, place = season.book.batches[check.batch_id], season.place_of(check.batch_id)
    return (
        batch.crop,
        season.ask.last_felt(batch.id) or "",
        check.fruit,
        batch.code,
        place.name if place else "",
        check.reason.value,
        check.decides_at.isoformat(timespec="minutes") if check.decides_at else "",
        day_label(season, check.market_day_id),
        money(season, check.gain_minor),
    )


SETPOINT_COLUMNS = (
    "place",
    "set_point_c",
    "other_place",
    "other_set_point_c",
    "value",
    "sold_share",
    "chilling_used",
)

_SettingCells = tuple[object, ...]


def setpoint_table(season: Season, advice: SetPointAdvice) -> "pd.DataFrame":
    """One row per setting that was tried, or per two settings of a pair of rooms.

    ``value`` is about what plans come to, in the season's currency; the shares are of all fruit at
    hand, and of the chilling allowance of the fruit that is sold.
    """
    import pandas as pd

    rows = list(_pair_rows(season, advice.pair)) if advice.pair else []
    paired = (advice.pair.cold_id, advice.pair.ripening_id) if advice.pair else ()
    for place in advice.places:
        if place.place_id not in paired:
            rows += _single_rows(season, place)
    return pd.DataFrame(rows, columns=list(SETPOINT_COLUMNS))


def _pair_rows(season: Season, pair: RoomPair) -> Iterator[_SettingCells]:
    places = season.book.places
    cold, ripening = places[pair.cold_id].name, places[pair.ripening_id].name
    for row, cold_c in enumerate(pair.cold_c):
        for column, ripening_c in enumerate(pair.ripening_c):
            yield (
                cold,
                cold_c,
                ripening,
                ripening_c,
                money(season, pair.value_minor[row][column]),
                f"{pair.sold_share[row][column]:.3f}",
                f"{pair.chilling_used[row][column]:.3f}",
            )


def _single_rows(season: Season, place: PlaceAdvice) -> Iterator[_SettingCells]:
    curve = place.curve
    tried = zip(
        curve.set_points_c, curve.value_minor, curve.sold_share, curve.chilling_used, strict=True
    )
    for celsius, value, sold, chilling in tried:
        name = season.book.places[place.place_id].name
        yield name, celsius, "", "", money(season, value), f"{sold:.3f}", f"{chilling:.3f}"


def money(season: Season, minor: float) -> str:
    """An amount in the season's currency, without its sign: for computers, with a decimal point."""
    decimals = season.book.season.currency_decimals
    return f"{minor / 10**decimals:.{decimals}f}"


def day_label(season: Season, market_day_id: str | None) -> str:
    """A market day by its date and name, as a plan's table has it; empty for none."""
    day = season.book.market_days.get(market_day_id or "")
    return f"{day.starts_at.astimezone(season.zone):%Y-%m-%d} {day.name}" if day else ""
