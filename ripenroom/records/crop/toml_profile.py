"""Crop profiles read from TOML files; every mistake in one is named by file, key and reason."""

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from ripenroom.records.crop.figures import ESTIMATE, Quantity, read_figure, take_figure
from ripenroom.records.crop.order import refuse_disorder
from ripenroom.records.crop.profile import (
    Chilling,
    CropProfile,
    DaysAt,
    Feel,
    Figure,
    Firmness,
    Rate,
    RipeLife,
    Source,
    Storage,
    WontRipen,
)
from ripenroom.records.crop.section import ProfileRefusal, Section
from ripenroom.units import activation_kj_mol_from_q10

LARGEST_FILE_BYTES: Final = 1_000_000


def load_profile(path: Path) -> CropProfile:
    """Read the crop profile at ``path``, with every figure in the units of its attribute.

    Raises :class:`ProfileRefusal` for a file that cannot be read, is not TOML in UTF-8, or is not
    a whole and consistent profile.
    """
    top = Section(path, _parse(path))
    sources = _sources(top.section("sources"))
    profile = _Reader(sources).profile(top)
    refuse_disorder(profile, path)
    return profile


def _parse(path: Path) -> dict[str, object]:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise ProfileRefusal(path, "", error.strerror or "cannot be read") from error
    if len(content) > LARGEST_FILE_BYTES:
        raise ProfileRefusal(path, "", "larger than 1 MB, which no crop profile is")
    try:
        # utf-8-sig, because some editors begin a file with a byte order mark.
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise ProfileRefusal(path, "", f"not UTF-8 text (byte {error.start + 1})") from error
    except RecursionError as error:
        raise ProfileRefusal(path, "", "not TOML: nested too deeply") from error
    except ValueError as error:  # TOMLDecodeError, or an integer of thousands of digits
        raise ProfileRefusal(path, "", f"not TOML: {error}") from error


def _sources(table: Section) -> Mapping[str, Source]:
    sources = {}
    for key in table.keys:
        entry = table.section(key)
        if key == ESTIMATE:
            raise entry.refusal("", "this name is kept for figures without a source")
        sources[key] = Source(key, entry.text("citation"), seen=entry.flag("seen"))
        entry.finish()
    return MappingProxyType(sources)


class _Reader:
    """Reads the parts of one profile, whose figures all point to the same sources."""

    def __init__(self, sources: Mapping[str, Source]) -> None:
        self._sources = sources

    def profile(self, top: Section) -> CropProfile:
        fruit = top.section("fruit")
        profile = CropProfile(
            key=top.text("key", r"[a-z][a-z0-9_]{0,39}", "lower-case letters, digits and _"),
            name=top.text("name"),
            letter=top.text("letter", r"[A-Z]", "one capital letter from A to Z"),
            groups=top.texts("groups"),
            firmness=self._firmness(top.section("firmness")),
            feel=self._feel(top.section("feel")),
            rate=self._rate(top.section("rate")),
            fruit_spread_age=self._figure(fruit, "spread", Quantity.AGE),
            wont_ripen=self._wont_ripen(top.section("wont_ripen")),
            storage=self._storage(top.section("storage")),
            fruit_mass_g=self._figure(fruit, "mass", Quantity.MASS),
            fruit_per_crate=self._figure(fruit, "per_crate", Quantity.COUNT),
            sources=self._sources,
            ripe_life=self._ripe_life(top.section("ripe_life")) if "ripe_life" in top else None,
            chilling=self._chilling(top.section("chilling")) if "chilling" in top else None,
            cautions=top.texts("cautions") if "cautions" in top else (),
        )
        fruit.finish()
        top.finish()
        return profile

    def _figure(self, table: Section, key: str, quantity: Quantity) -> Figure:
        return read_figure(table, key, quantity, self._sources)

    def _firmness(self, table: Section) -> Firmness:
        def newtons(key: str) -> Figure:
            return self._figure(table, key, Quantity.FIRMNESS)

        firmness = Firmness(
            probe_mm=table.number("probe_mm", 1.0, 50.0),
            highest_n=newtons("highest"),
            lowest_n=newtons("lowest"),
            at_maturity_n=newtons("at_maturity"),
            ready_n=newtons("ready"),
            too_soft_n=newtons("too_soft"),
            reading_error_n=newtons("reading_error"),
        )
        table.finish()
        return firmness

    def _feel(self, table: Section) -> Feel:
        def newtons(key: str) -> Figure:
            return self._figure(table, key, Quantity.FIRMNESS)

        feel = Feel(
            slight_give_n=newtons("slight_give"),
            gives_n=newtons("gives"),
            soft_n=newtons("soft"),
            too_soft_n=newtons("too_soft"),
            judgement_age=self._figure(table, "judgement", Quantity.AGE),
        )
        table.finish()
        return feel

    def _rate(self, table: Section) -> Rate:
        heat = ("heat_midpoint" in table, "heat_energy" in table)
        if heat[0] != heat[1]:
            raise table.refusal(
                "heat_energy" if heat[0] else "heat_midpoint",
                "missing: the two figures of the heat limit go together",
            )
        rate = Rate(
            reference_c=table.number("reference_c", -10.0, 50.0),
            per_day=self._figure(table, "speed", Quantity.SPEED),
            activation_kj_mol=self._activation(table),
            heat_midpoint_c=(
                self._figure(table, "heat_midpoint", Quantity.TEMPERATURE) if heat[0] else None
            ),
            heat_kj_mol=self._figure(table, "heat_energy", Quantity.ENERGY) if heat[0] else None,
        )
        table.finish()
        return rate

    def _activation(self, table: Section) -> Figure:
        """The slope with temperature, written either as an energy or as a Q10 on an interval."""
        if "activation" in table and "q10" in table:
            raise table.refusal("q10", "says the same as activation: give one of the two")
        if "q10" not in table:
            return self._figure(table, "activation", Quantity.ENERGY)
        entry = table.section("q10")
        from_c, to_c = entry.number("from_c", -10.0, 60.0), entry.number("to_c", -10.0, 60.0)
        if from_c >= to_c:
            raise entry.refusal("to_c", "needs to be warmer than from_c")
        q10 = take_figure(entry, Quantity.Q10, self._sources)
        entry.finish()
        return replace(
            q10,
            value=activation_kj_mol_from_q10(q10.value, from_c, to_c),
            low=activation_kj_mol_from_q10(q10.low, from_c, to_c),
            high=activation_kj_mol_from_q10(q10.high, from_c, to_c),
        )

    def _wont_ripen(self, table: Section) -> WontRipen:
        wont_ripen = WontRipen(
            half_n=self._figure(table, "half", Quantity.FIRMNESS),
            width_n=self._figure(table, "width", Quantity.FIRMNESS),
        )
        table.finish()
        return wont_ripen

    def _ripe_life(self, table: Section) -> RipeLife:
        ripe_life = RipeLife(
            reference_c=table.number("reference_c", -10.0, 50.0),
            days=self._figure(table, "days", Quantity.DURATION),
            q10=self._figure(table, "q10", Quantity.Q10),
        )
        table.finish()
        return ripe_life

    def _chilling(self, table: Section) -> Chilling:
        chilling = Chilling(
            threshold_c=self._figure(table, "threshold", Quantity.TEMPERATURE),
            allowance=self._days_at(table, "allowance"),
        )
        table.finish()
        return chilling

    def _storage(self, table: Section) -> Storage:
        storage = Storage(
            best_low_c=table.number("best_low_c", -10.0, 40.0),
            best_high_c=table.number("best_high_c", -10.0, 40.0),
            humidity_pct=self._figure(table, "humidity", Quantity.PERCENT),
            life=self._days_at(table, "life"),
        )
        table.finish()
        return storage

    def _days_at(self, table: Section, key: str) -> tuple[DaysAt, ...]:
        entries = []
        for entry in table.sections(key):
            temperature_c = entry.number("at_c", -10.0, 40.0)
            entries.append(DaysAt(temperature_c, self._figure(entry, "days", Quantity.DURATION)))
            entry.finish()
        return tuple(entries)
