"""What a profile knows of a crop beside its ripening clock: days, gases, temperatures, errors."""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ripenroom.records.crop.profile import (
    DaysAt,
    Ethylene,
    LeftOutSources,
    RespirationAt,
    Ripening,
    Source,
)
from ripenroom.records.crop.section import ESTIMATE, Quantity, Section, read_figure, take_figure
from ripenroom.texts import tr
from ripenroom.units import KELVIN_AT_0_C

Sources = Mapping[str, Source]

_CO2_MG_PER_ML_AT_0_C = 1.977
"""Density of carbon dioxide at 0 C and one atmosphere, mg/ml (g/l); from memory of any handbook."""

_AMOUNTS = "very low|low|moderate|high|very high"


def read_days_at(table: Section, key: str, sources: Sources) -> tuple[DaysAt, ...]:
    """Durations by temperature, at least one."""
    entries = []
    for entry in table.sections(key):
        temperature_c = entry.number("at_c", -10.0, 50.0)
        days = read_figure(entry, "days", Quantity.DURATION, sources)
        entries.append(DaysAt(temperature_c, days))
        entry.finish()
    return tuple(entries)


def read_source(table: Section, key: str, sources: Sources) -> str:
    """A key of the sources or ``"estimate"``; empty where none is given."""
    if key not in table:
        return ""
    name = table.text(key)
    if name != ESTIMATE and name not in sources:
        raise table.refusal(key, tr('"{name}" is not among the sources').format(name=name))
    return name


def read_ripening(top: Section, sources: Sources) -> Ripening | None:
    """Best ripening temperatures, the upper limits, and published days to ripe."""
    if "ripening" not in top:
        return None
    table = top.section("ripening")

    def celsius(key: str) -> float | None:
        return table.number(key, -10.0, 60.0) if key in table else None

    ripening = Ripening(
        low_c=celsius("low_c"),
        high_c=celsius("high_c"),
        limit_c=celsius("limit_c"),
        stop_c=celsius("stop_c"),
        source=read_source(table, "source", sources),
        days=read_days_at(table, "days", sources) if "days" in table else (),
    )
    table.finish()
    return ripening


def read_respiration(top: Section, sources: Sources) -> tuple[RespirationAt, ...]:
    """Respiration by temperature; none where the profile has none."""
    if "respiration" not in top:
        return ()
    entries = []
    for entry in top.sections("respiration"):
        temperature_c = entry.number("at_c", -10.0, 50.0)
        table = entry.section("rate")
        by_volume = table.says("unit", "ml CO2/kg h")
        quantity = Quantity.RESPIRATION_BY_VOLUME if by_volume else Quantity.RESPIRATION
        rate = take_figure(table, quantity, sources)
        if by_volume:
            mg_per_ml = _CO2_MG_PER_ML_AT_0_C * KELVIN_AT_0_C / (KELVIN_AT_0_C + temperature_c)
            rate = replace(
                rate,
                value=rate.value * mg_per_ml,
                low=rate.low * mg_per_ml,
                high=rate.high * mg_per_ml,
            )
        entries.append(RespirationAt(temperature_c, rate))
        table.finish()
        entry.finish()
    return tuple(entries)


def read_ethylene(top: Section, sources: Sources) -> Ethylene | None:
    """Ethylene classes and the usual dose; None where the profile has none."""
    if "ethylene" not in top:
        return None
    table = top.section("ethylene")
    one_of = tr("one of {known}").format(known=_AMOUNTS.replace("|", ", "))
    ethylene = Ethylene(
        produces=table.text("produces", _AMOUNTS, one_of),
        responds=table.text("responds", _AMOUNTS, one_of),
        source=read_source(table, "source", sources),
        dose_ppm=read_figure(table, "dose", Quantity.DOSE, sources) if "dose" in table else None,
        hours=read_figure(table, "hours", Quantity.HOURS, sources) if "hours" in table else None,
    )
    table.finish()
    return ethylene


def read_left_out(top: Section) -> LeftOutSources | None:
    """How far off the profile was found to be; None where it was compared with nothing yet."""
    _pass_over_held_to(top)
    if "left_out" not in top:
        return None
    table = top.section("left_out")

    def number(key: str) -> float:
        return table.number(key, 0.0, 1000.0)

    found = LeftOutSources(
        sources=int(number("sources")),
        statements=int(number("statements")),
        median_pct=number("median_pct"),
        tenth_pct=number("tenth_pct"),
        worst_pct=number("worst_pct"),
        in_range=int(number("in_range")),
    )
    if found.in_range > found.statements or found.sources > found.statements:
        raise table.refusal("statements", tr("is fewer than what is counted among them"))
    table.finish()
    return found


def _pass_over_held_to(top: Section) -> None:
    """What earlier profiles told of their errors: a figure picked by hand, worth nothing now."""
    if "held_to" in top:
        table = top.section("held_to")
        table.number("error_pct", 0.0, 1000.0)
        table.number("statements", 0.0, 1000.0)
        if "note" in table:
            table.text("note")
        table.finish()


def log_interpolated(at: float, known: Sequence[float], values: Sequence[float]) -> float:
    """The value at ``at`` on straight lines of its logarithm between increasing ``known``."""
    right = min(max(bisect_right(known, at), 1), len(known) - 1)
    if len(known) == 1:
        return values[0]
    share = (at - known[right - 1]) / (known[right] - known[right - 1])
    share = min(max(share, 0.0), 1.0)
    low, high = math.log(values[right - 1]), math.log(values[right])
    return math.exp(low + share * (high - low))
