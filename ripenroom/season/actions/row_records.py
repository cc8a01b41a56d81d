"""What a row of each kind of table makes: the same actions as the forms'."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any, cast

from ripenroom.days import full_day
from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.book import Record, new_id
from ripenroom.records.entry import CheckEntry, PickEntry, parse_feel_counts
from ripenroom.records.limits import DEAREST_MINOR
from ripenroom.records.market import MarketDay, MarketKind, SoldBy, Want
from ripenroom.records.orchard import Cultivar, Row, Walk, WeatherSource, weather_id
from ripenroom.records.place import USUAL_PLACES, Place, PlaceKind
from ripenroom.records.refusal import Refusal
from ripenroom.records.validation import checked
from ripenroom.season.actions import ahead, checks, orchard, picks, places, weather
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.ahead import wants_of
from ripenroom.season.actions.table_rows import FEEL_KEYS, Ground, RowKind, TableRow
from ripenroom.texts import noted, tr

_LONGEST_CODE = 40
"""Shorter than a record's may be: what is split off the batch gets letters behind it."""


def _pick(ground: Ground, row: TableRow) -> Action:
    code = cast(str | None, row.values.get("batch"))
    if code is not None and len(code) > _LONGEST_CODE:
        raise Refusal(
            "batch", "A batch code is one line of at most {most} characters.", most=_LONGEST_CODE
        )
    if code is not None and ground.batch_of_code(code) is not None:
        raise Refusal("batch", "{code} is in the season already.", code=code)
    crop, picked_at = ground.crop(row), _at(row, "picked_at")
    entry = PickEntry(
        crop=crop,
        place_id=ground.place(row),
        picked_at=picked_at,
        cultivar_id=ground.cultivar(row),
        row_id=ground.named(row, "row", "rows", noted("row")),
        count=cast(int | None, row.values.get("count")),
        weight_kg=cast(float | None, row.values.get("weight_kg")),
        feel_counts=feel_of(row),
        pulp_c=cast(float | None, row.values.get("pulp_c")),
        note=str(row.values.get("note", "")),
        split_by_feel=False,
        answered=row.answered,
        **_gauge(row),
    )
    # One row is one batch, which keeps the code that is written on its crates.
    code = ground.next_code(crop, picked_at) if code is None else code
    return picks.add(ground.state, entry, code)[1]


def _check(ground: Ground, row: TableRow) -> Action:
    batch, at, feel = ground.batch(row), _at(row, "at"), feel_of(row)
    if ground.is_checked(batch, at, feel):
        raise Refusal("at", "This check of {code} is in the season already.", code=batch.code)
    entry = CheckEntry(
        batch_id=batch.id,
        at=at,
        feel_counts=feel,
        note=str(row.values.get("note", "")),
        answered=row.answered,
        **_gauge(row),
    )
    return checks.add_unasked(ground.state, entry)[1]


def _market_day(ground: Ground, row: TableRow) -> Action:
    """A market day, or one more want of one that is there already."""
    book = ground.book
    name, at = str(row.values.get("market_day", "")), _at(row, "starts_at")
    known = next(
        (d for d in book.market_days.values() if d.name == name.strip() and d.starts_at == at), None
    )
    day = known or MarketDay(
        id=new_id(),
        name=name,
        kind=cast(MarketKind, row.values.get("kind", "market")),
        starts_at=at,
        eat_within_days=cast(int | None, row.values.get("eat_within_days")),
        note=str(row.values.get("note", "")),
    )
    wants = wants_of(book, day.id)
    if "wanted" in row.values or "amount" in row.values:
        crop = ground.crop(row)
        if any(want.crop == crop for want in wants):
            raise Refusal("crop", "{name} wants this crop already; edit it there.", name=day.name)
        wants.append(_want(ground, row, day.id, crop))
    elif known is not None:
        raise Refusal("market_day", "{name} is in the season already.", name=day.name)
    return ahead.save_market_day(ground.state, day, wants)


def _want(ground: Ground, row: TableRow, market_day_id: str, crop: str) -> Want:
    """What a row wants, by fruit, weight or box; without columns of its own for what is not by
    fruit, "wanted" and "price" are meant by the same unit."""
    sold_by = cast(SoldBy, row.values.get("sold_by", "fruit"))
    wanted = row.values.get("wanted", row.values.get("amount"))
    if sold_by == "fruit":
        if not float(cast(float, wanted)).is_integer():
            raise Refusal("wanted", "How many fruit are wanted? Type a whole number.")
        return Want(
            id=new_id(),
            market_day_id=market_day_id,
            crop=crop,
            count=int(cast(float, wanted)),
            price_minor=_minor(ground, row, "price"),
        )
    amount = cast(float, row.values.get("amount", wanted))
    box = cast(int | None, row.values.get("fruit_per_box"))
    if sold_by == "box" and box is None:
        raise Refusal("fruit_per_box", "Say how many fruit a box holds.")
    unit_price = _minor(ground, row, "unit_price" if "amount" in row.values else "price")
    return Want(
        id=new_id(),
        market_day_id=market_day_id,
        crop=crop,
        count=1,  # the season makes number and price follow from what its own fruit weigh
        sold_by=sold_by,
        amount=float(amount),
        unit_price_minor=unit_price,
        fruit_per_box=box if sold_by == "box" else None,
    )


def _minor(ground: Ground, row: TableRow, column: str) -> int | None:
    price = row.values.get(column)
    if price is None:
        return None
    minor_units: int = 10**ground.book.season.currency_decimals
    minor = cast(float, price) * minor_units
    # One that is beyond all limits may not even be a whole number; the record refuses the others.
    return round(max(-1.0, min(minor, DEAREST_MINOR + 1.0)))


def _place(ground: Ground, row: TableRow) -> Action:
    kind = row.values.get("kind")
    if kind is None:
        raise Refusal("kind", "Say what kind of place it is.")
    usual = USUAL_PLACES[cast(PlaceKind, kind)]
    place = Place(
        id=new_id(),
        name=str(row.values.get("place", "")),
        kind=cast(PlaceKind, kind),
        half_cooling_h=cast(float, row.values.get("half_cooling_h", usual.half_cooling_h)),
        daily_swing_k=cast(float, row.values.get("daily_swing_k", usual.daily_swing_k)),
        capacity_crates=cast(int | None, row.values.get("capacity_crates")),
        weather_lag_h=cast(float | None, row.values.get("weather_lag_h")),
    )
    return places.save(ground.state, place, cast(float | None, row.values.get("set_point_c")))


def _tree_row(ground: Ground, row: TableRow) -> Action:
    counts = cast(tuple[float, ...], row.values.get("branch_counts", ()))
    if any(count != int(count) for count in counts):
        raise Refusal("branch_counts", "Fruit on branches are whole numbers.")
    cultivar_id, made = _cultivar(ground, row)
    tree_row = Row(
        id=new_id(),
        name=str(row.values.get("row", "")),
        cultivar_id=cultivar_id,
        trees=cast(int | None, row.values.get("trees")),
        planted_year=cast(int | None, row.values.get("planted_year")),
        bloomed_on=ground.day(row, "bloomed_on"),
        fruit_on_trees=cast(int | None, row.values.get("fruit_on_trees")),
        branch_counts=tuple(map(int, counts)),
        branches_per_tree=cast(int | None, row.values.get("branches_per_tree")),
        counted_on=ground.day(row, "counted_on"),
        fruit_mass_g=cast(float | None, row.values.get("fruit_mass_g")),
    )
    if "fruit_doubt" in row.values:
        tree_row = replace(tree_row, fruit_doubt=cast(float, row.values["fruit_doubt"]))
    if not made:
        return orchard.save_row(ground.state, tree_row)
    change = orchard.save_row(ground.state.with_changes(made), tree_row)
    return replace(change, put=(*made, *change.put))


def _cultivar(ground: Ground, row: TableRow) -> tuple[str | None, tuple[Record, ...]]:
    """The id of the cultivar that a row of trees names, and what has to be made for it: a new
    cultivar, if the row says of which crop."""
    name = row.values.get("cultivar")
    if name is None or row.values.get("crop") is None:
        return ground.cultivar(row), ()
    crop, wanted = ground.crop(row), str(name).casefold()
    for cultivar in ground.book.cultivars.values():
        if cultivar.crop == crop and cultivar.name.casefold() == wanted:
            return cultivar.id, ()
    new = Cultivar(id=new_id(), crop=crop, name=str(name))
    return new.id, orchard.save_cultivar(ground.state, new).put


def _walk(ground: Ground, row: TableRow) -> Action:
    row_id = ground.named(row, "row", "rows", noted("row"))
    if row_id is None:
        raise Refusal("row", "The row of the table names no row of trees.")
    walk = Walk(
        id=new_id(),
        row_id=row_id,
        at=_at(row, "at"),
        feel_counts=feel_of(row),
        on_ground=cast(int | None, row.values.get("on_ground")),
        note=str(row.values.get("note", "")),
    )
    return orchard.add_walk(ground.state, walk)


def _weather(ground: Ground, row: TableRow) -> Action:
    on = ground.day(row, "on")
    if on is None:
        raise Refusal("on", "The row has no day.")
    if weather_id(on) in ground.book.weather:
        raise Refusal("on", "The weather of {on} is in the season already.", on=on)
    source = "forecast" if on > ground.state.today else "read"
    day = weather.day_weather(
        on,
        cast(float, row.values.get("min_c")),
        cast(float | None, row.values.get("max_c")),
        cast(WeatherSource, row.values.get("source", source)),
    )
    return Action(tr("weather of {on}").format(on=full_day(on)), (checked(day),))


def _at(row: TableRow, key: str) -> datetime:
    at = row.values.get(key)
    if not isinstance(at, datetime):
        raise Refusal(key, "The row has no day.")
    return at.replace(microsecond=0)


def feel_of(row: TableRow) -> FeelCounts | None:
    """Fruit of each feel, in words or in columns of their own; None where a row tells none."""
    if "feel" in row.values:
        return _feel_in_words(row, str(row.values["feel"]).strip())
    counts = [cast(int, row.values.get(key, 0)) for key in FEEL_KEYS]
    if not any(key in row.values for key in FEEL_KEYS) or not any(counts):
        return None
    return counts[0], counts[1], counts[2], counts[3], counts[4]


def _feel_in_words(row: TableRow, text: str) -> FeelCounts | None:
    """All feels in one cell: counts, or the one feel that all fruit of the row have."""
    known = [name for name in FEELS if name == " ".join(text.casefold().split())]
    if not known:
        return parse_feel_counts(text)
    all_fruit = cast(int, row.values.get("count", 1))
    a, b, c, d, e = (all_fruit if name == known[0] else 0 for name in FEELS)
    return a, b, c, d, e


def _gauge(row: TableRow) -> dict[str, Any]:
    readings = cast(tuple[float, ...], row.values.get("readings", ()))
    if not readings:
        return {}
    return {
        "readings": readings,
        "reading_unit": row.values.get("reading_unit", "N"),
        "probe_mm": row.values.get("probe_mm"),
    }


MADE_OF: dict[RowKind, Callable[[Ground, TableRow], Action]] = {
    "picks": _pick,
    "checks": _check,
    "market days": _market_day,
    "places": _place,
    "rows": _tree_row,
    "walks": _walk,
    "weather": _weather,
}
