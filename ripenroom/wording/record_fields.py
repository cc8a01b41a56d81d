"""What the fields of a record are called, and what they hold, in words."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from ripenroom.records.book import Book, Record, references
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.texts import noted, tr
from ripenroom.wording.formats import NEVER, Formats
from ripenroom.wording.names import crop_name

_LONGEST_VALUE = 120

_FIELDS = {
    "at": noted("when"),
    "name": noted("name"),
    "note": noted("note"),
    "kind": noted("kind"),
    "count": noted("count"),
    "crop": noted("crop"),
    "cultivar": noted("cultivar"),
    "cultivar_id": noted("cultivar"),
    "group": noted("ripens"),
    "crop_group": noted("group of the crop"),
    "rate_factor": noted("pace beside the crop’s"),
    "row_id": noted("row"),
    "trees": noted("trees"),
    "planted_year": noted("planted in"),
    "bloomed_on": noted("full bloom"),
    "fruit_on_trees": noted("fruit on the trees"),
    "branch_counts": noted("fruit on branches"),
    "branches_per_tree": noted("branches on a tree"),
    "counted_on": noted("counted on"),
    "fruit_doubt": noted("doubt about the count"),
    "fruit_mass_g": noted("weight of one fruit (g)"),
    "place_id": noted("place"),
    "set_point_c": noted("temperature"),
    "capacity_crates": noted("room for crates"),
    "half_cooling_h": noted("cools halfway in (h)"),
    "daily_swing_k": noted("daily swing"),
    "weather_lag_h": noted("behind the weather (h)"),
    "code": noted("code"),
    "batch_id": noted("batch"),
    "picked_at": noted("picked"),
    "feel_counts": noted("hand feel"),
    "readings": noted("readings"),
    "reading_unit": noted("unit of the readings"),
    "probe_mm": noted("probe (mm)"),
    "pulp_c": noted("fruit temperature"),
    "weight_kg": noted("weight"),
    "split_from": noted("split from"),
    "picked_over": noted("picked over"),
    "taken": noted("taken out"),
    "outcome": noted("what became of it"),
    "grade": noted("grade"),
    "hours": noted("hours"),
    "market_day_id": noted("market day"),
    "starts_at": noted("starts"),
    "ends_at": noted("ends"),
    "settled_at": noted("sales entered"),
    "eat_within_days": noted("eaten within (days)"),
    "sold_by": noted("given by"),
    "amount": noted("amount"),
    "price_minor": noted("price"),
    "unit_price_minor": noted("price"),
    "fruit_per_box": noted("fruit in a box"),
    "fruit_per_day": noted("at most a day"),
    "amount_per_day": noted("at most a day"),
    "crates": noted("crates"),
    "pull_at": noted("moved"),
    "packed_at": noted("packed"),
    "on": noted("day"),
    "feel": noted("feel"),
    "counted": noted("counted"),
    "picked_from": noted("picked out of"),
    "on_ground": noted("on the ground"),
    "probe": noted("probe"),
    "series": noted("readings"),
    "key": noted("key"),
    "text": noted("text"),
    "source": noted("where from"),
    "month": noted("month"),
    "min_c": noted("coldest"),
    "max_c": noted("warmest"),
    "tenth_on": noted("frost by then in one year of ten"),
    "even_on": noted("frost by then in half of all years"),
    "first_frosts": noted("first frosts"),
    "frost_c": noted("a frost is"),
    "log_rate": noted("pace learned (logarithm)"),
    "log_rate_sd": noted("doubt about the pace"),
    "log_life": noted("how long ripe fruit keeps (logarithm)"),
    "log_life_sd": noted("doubt about how long ripe fruit keeps"),
    "checks": noted("checks"),
    "walks": noted("walks"),
    "taught_by": noted("learned in"),
    "by_heat": noted("by warmth"),
    "needs_days": noted("days from bloom"),
    "needs_sd": noted("doubt about these days"),
    "log_spread": noted("how fruit differ (logarithm)"),
    "log_spread_sd": noted("doubt about how they differ"),
    "log_pace": noted("pace on the tree (logarithm)"),
    "log_pace_sd": noted("doubt about the pace on the tree"),
    "days_off": noted("forecasts missed by (days)"),
}
"""What growers call a field; what is in none of their words stands as it does in files."""

_CODES = {
    "early": noted("early"),
    "mid": noted("middle"),
    "late": noted("late"),
    "cold room": noted("cold room"),
    "cool shelf": noted("cool shelf"),
    "ripening room": noted("ripening room"),
    "counter": noted("counter"),
    "field bin": noted("field bin"),
    "sold": noted("sold"),
    "discarded": noted("discarded"),
    "first": noted("first grade"),
    "second": noted("second grade"),
    "market": noted("market"),
    "festival": noted("festival"),
    "farm stand": noted("farm stand"),
    "shop order": noted("shop order"),
    "fruit": noted("fruit"),
    "box": noted("box"),
    "hard": noted("hard"),
    "slight give": noted("slight give"),
    "gives": noted("gives"),
    "soft": noted("soft"),
    "too soft": noted("too soft"),
    "read": noted("read"),
    "typed": noted("typed"),
    "filled": noted("filled in"),
    "forecast": noted("forecast"),
}
"""The words for what :data:`_CODED` may hold."""

_CODED = frozenset({"group", "kind", "outcome", "grade", "sold_by", "feel", "source"})


def field_words(name: str) -> str:
    """What a field of a record is called."""
    return tr(_FIELDS[name]) if name in _FIELDS else name.replace("_", " ")


def value_words(record: Record, field: str, book: Book, words: Formats) -> str:
    """What a field of a record holds; names instead of ids."""
    value = getattr(record, field)
    for name, shelf, key in references(record):
        if name == field:
            found = getattr(book, shelf).get(key)
            return batch_code(book, key) if shelf == "batches" else (found.name if found else "?")
    in_units: dict[str, Callable[[Any], str]] = {
        "price_minor": words.money,
        "unit_price_minor": words.money,
        "pulp_c": words.temperature,
        "set_point_c": words.temperature,
        "min_c": words.temperature,
        "max_c": words.temperature,
        "frost_c": words.temperature,
        "daily_swing_k": words.temperature_difference,
        "weight_kg": words.mass,
    }
    if field in in_units and value is not None:
        return in_units[field](value)
    if field == "crop":
        return crop_name(shipped_profiles(), value)
    if field in _CODED and value in _CODES:
        return tr(_CODES[value])
    if isinstance(value, bytes):
        return tr("{count} bytes").format(count=words.number(len(value)))
    if isinstance(value, datetime):
        return words.moment(value)
    if isinstance(value, date):
        return words.full_day(value)
    if isinstance(value, tuple):
        return " ".join(map(str, value)) or NEVER
    if isinstance(value, bool):
        yes = tr("yes")
        return yes if value else tr("no")
    if isinstance(value, float):
        return words.number(value, 2)
    if value is None or value == "":
        return NEVER
    text = str(value)
    return text if len(text) <= _LONGEST_VALUE else f"{text[:_LONGEST_VALUE]}…"


def batch_code(book: Book, batch_id: str) -> str:
    """The code of a batch; a question mark where the book has none."""
    batch = book.batches.get(batch_id)
    return batch.code if batch else "?"
