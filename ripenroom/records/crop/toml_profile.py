"""Crop profiles read from TOML files; every mistake in one is named by file, key and reason."""

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Final, TypeVar

from ripenroom.bounded_file import read_file
from ripenroom.records.batch import FEELS
from ripenroom.records.crop.consistency import refuse_disorder
from ripenroom.records.crop.derived import (
    derived_feel,
    derived_firmness,
    derived_rate,
    derived_spread,
    derived_wont_ripen,
)
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.group_tables import group_tables
from ripenroom.records.crop.knowledge import (
    log_interpolated,
    read_days_at,
    read_ethylene,
    read_left_out,
    read_respiration,
    read_ripening,
    read_source,
)
from ripenroom.records.crop.profile import (
    Chilling,
    CropProfile,
    DaysAt,
    Feel,
    Figure,
    Firmness,
    Gate,
    JudgedBy,
    Rate,
    RipeLife,
    Ripening,
    Source,
    SpeedAt,
    Storage,
    WontRipen,
)
from ripenroom.records.crop.section import (
    RESERVED,
    ProfileRefusal,
    Quantity,
    Section,
    Table,
    read_figure,
    take_figure,
)
from ripenroom.texts import tr
from ripenroom.units import activation_kj_mol_from_q10

LARGEST_FILE_BYTES: Final = 100_000
"""Ten times the largest that ships. Of a larger one, reading could take seconds."""

_LONG_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){10}""")
"""A key of more than ten parts. No profile has one, and the time that :mod:`tomllib` takes for it
grows with the square of its parts or faster: 20,000 take 16 seconds."""
JUDGED_BY: Final[tuple[JudgedBy, ...]] = ("firmness", "colour", "nothing")
_NO_PROBE_MM: Final = 8.0
"""Stands for the probe of a crop that is looked at and not probed."""


@dataclass(frozen=True, slots=True)
class _Clock:
    firmness: Firmness
    feel: Feel
    rate: Rate
    spread: Figure
    wont_ripen: WontRipen


def load_profile(path: Path) -> CropProfile:
    """Read the crop profile at ``path``, with every figure in the units of its attribute.

    Raises :class:`ProfileRefusal` for a file that cannot be read, is not TOML in UTF-8, or is not
    a whole and consistent profile.
    """
    return _profile(_parsed(_content(path), path), path)


def profile_text(path: Path) -> str:
    """The text of the crop profile at ``path``, which is read once; raises as above."""
    content = _content(path)
    _profile(_parsed(content, path), path)
    return content.decode("utf-8-sig")


def load_profile_text(text: str, path: Path) -> CropProfile:
    """As :func:`load_profile`, of a profile that was read already; ``path`` is its name."""
    # Half a character (a lone surrogate) has no place in UTF-8, so it is refused as no UTF-8.
    return _profile(_parsed(text.encode("utf-8", "surrogatepass"), path), path)


def profile_of(document: CropDocument, path: Path) -> CropProfile:
    """The profile that a document holds; raises as :func:`load_profile`, ``path`` is its name."""
    return _profile(document.table(()), path)


def _profile(tables: Table, path: Path) -> CropProfile:
    top = Section(path, tables)
    named = Section(path, tables).texts("groups") if "group" in tables else ()
    groups = group_tables(top, tables, named)
    profile = _one_profile(top, path)
    of_groups = {}
    for name, own in groups.items():
        try:
            of_groups[name] = _one_profile(Section(path, own), path)
        except ProfileRefusal as refusal:
            key = f"group.{name}.{refusal.key}"
            raise ProfileRefusal(path, key, refusal.reason) from refusal
    return replace(profile, of_groups=MappingProxyType(of_groups)) if of_groups else profile


def _one_profile(top: Section, path: Path) -> CropProfile:
    sources = _sources(top.section("sources"))
    profile = _Reader(sources).profile(top)
    refuse_disorder(profile, path)
    return profile


def _content(path: Path) -> bytes:
    try:
        return read_file(path, LARGEST_FILE_BYTES)
    except OSError as error:
        raise ProfileRefusal(path, "", error.strerror or tr("cannot be read")) from error


def _parsed(content: bytes, path: Path) -> dict[str, object]:
    if len(content) > LARGEST_FILE_BYTES:
        raise ProfileRefusal(path, "", tr("larger than 100 kB, which no crop profile is"))
    try:
        # utf-8-sig, because some editors begin a file with a byte order mark.
        text = content.decode("utf-8-sig")
        if _LONG_KEY.search(text):
            raise ProfileRefusal(path, "", tr("not a profile: a key has more than ten parts"))
        return tomllib.loads(text)
    except UnicodeDecodeError as error:
        raise ProfileRefusal(
            path, "", tr("not UTF-8 text (byte {start})").format(start=error.start + 1)
        ) from error
    except RecursionError as error:
        raise ProfileRefusal(path, "", tr("not TOML: nested too deeply")) from error
    except ValueError as error:  # TOMLDecodeError, or an integer of thousands of digits
        raise ProfileRefusal(path, "", tr("not TOML: {error}").format(error=error)) from error


def _sources(table: Section) -> Mapping[str, Source]:
    sources = {}
    for key in table.keys:
        entry = table.section(key)
        if key in RESERVED:
            raise entry.refusal("", tr("this name is kept for figures without a source"))
        sources[key] = Source(key, entry.text("citation"), seen=entry.flag("seen"))
        entry.finish()
    return MappingProxyType(sources)


_T = TypeVar("_T", bound=str)


def _one_of(table: Section, key: str, known: Sequence[_T]) -> _T:
    text = table.text(key)
    for choice in known:
        if text == choice:
            return choice
    raise table.refusal(
        key,
        tr("needs to be one of {known}, not {text!r:.40}").format(
            known=", ".join(known), text=text
        ),
    )


class _Reader:
    """Reads the parts of one profile, whose figures all point to the same sources."""

    def __init__(self, sources: Mapping[str, Source]) -> None:
        self._sources = sources

    def profile(self, top: Section) -> CropProfile:
        judged_by = _one_of(top, "judged_by", JUDGED_BY) if "judged_by" in top else "firmness"
        fruit = top.section("fruit")
        ripening = read_ripening(top, self._sources)
        parts = self._clock(top, fruit, judged_by, ripening)
        profile = CropProfile(
            key=top.text("key", r"[a-z][a-z0-9_]{0,39}", tr("lower-case letters, digits and _")),
            name=top.text("name"),
            letter=top.text("letter", r"[A-Z]", tr("one capital letter from A to Z")),
            groups=top.texts("groups"),
            firmness=parts.firmness,
            feel=parts.feel,
            rate=parts.rate,
            fruit_spread_age=parts.spread,
            wont_ripen=parts.wont_ripen,
            storage=self._storage(top.section("storage")),
            fruit_mass_g=self._figure(fruit, "mass", Quantity.MASS),
            fruit_per_crate=self._figure(fruit, "per_crate", Quantity.COUNT),
            sources=self._sources,
            ripe_life=self._ripe_life(top.section("ripe_life")) if "ripe_life" in top else None,
            chilling=self._chilling(top.section("chilling")) if "chilling" in top else None,
            cautions=top.texts("cautions") if "cautions" in top else (),
            judged_by=judged_by,
            about=top.text("about") if "about" in top else "",
            gate=self._gate(top.section("gate")) if "gate" in top else None,
            ripening=ripening,
            respiration=read_respiration(top, self._sources),
            ethylene=read_ethylene(top, self._sources),
            package=fruit.text("package") if "package" in fruit else "",
            package_source=read_source(fruit, "package_source", self._sources),
            left_out=read_left_out(top),
            buyers_eat_within=(
                self._figure(fruit, "buyers_eat_within", Quantity.DURATION)
                if "buyers_eat_within" in fruit
                else None
            ),
        )
        fruit.finish()
        top.finish()
        return profile

    def _clock(
        self, top: Section, fruit: Section, judged_by: JudgedBy, ripening: Ripening | None
    ) -> "_Clock":
        """Marks, feels, rate and spread; made up where only dates are published."""
        if judged_by == "nothing":
            days = ripening.days if ripening else ()
            if days and "ripe_life" not in top:
                raise top.refusal("ripe_life", tr("missing: how long is the fruit good once ripe?"))
            return _Clock(
                derived_firmness(bool(days)),
                derived_feel(),
                derived_rate(days),
                derived_spread(),
                derived_wont_ripen(),
            )
        scale = Quantity.GREEN if judged_by == "colour" else Quantity.FIRMNESS
        return _Clock(
            self._firmness(top.section("firmness"), scale),
            self._feel(top.section("feel"), scale),
            self._rate(top.section("rate")),
            self._figure(fruit, "spread", Quantity.AGE),
            self._wont_ripen(top.section("wont_ripen"), scale),
        )

    def _figure(self, table: Section, key: str, quantity: Quantity) -> Figure:
        return read_figure(table, key, quantity, self._sources)

    def _firmness(self, table: Section, scale: Quantity) -> Firmness:
        def newtons(key: str) -> Figure:
            return self._figure(table, key, scale)

        by_colour = scale is Quantity.GREEN and "probe_mm" not in table
        firmness = Firmness(
            probe_mm=_NO_PROBE_MM if by_colour else table.number("probe_mm", 1.0, 50.0),
            highest_n=newtons("highest"),
            lowest_n=newtons("lowest"),
            at_maturity_n=newtons("at_maturity"),
            ready_n=newtons("ready"),
            too_soft_n=newtons("too_soft"),
            reading_error_n=newtons("reading_error"),
        )
        table.finish()
        return firmness

    def _feel(self, table: Section, scale: Quantity) -> Feel:
        def newtons(key: str) -> Figure:
            return self._figure(table, key, scale)

        names = table.texts("names") if "names" in table else ()
        if names and len(names) != len(FEELS):
            raise table.refusal(
                "names", tr("needs {n} names, from least to most ripe").format(n=len(FEELS))
            )
        feel = Feel(
            slight_give_n=newtons("slight_give"),
            gives_n=newtons("gives"),
            soft_n=newtons("soft"),
            too_soft_n=newtons("too_soft"),
            judgement_age=self._figure(table, "judgement", Quantity.AGE),
            names=names,
        )
        table.finish()
        return feel

    def _rate(self, table: Section) -> Rate:
        if "by_temperature" in table:
            return self._rate_by_temperature(table)
        heat = ("heat_midpoint" in table, "heat_energy" in table)
        if heat[0] != heat[1]:
            raise table.refusal(
                "heat_energy" if heat[0] else "heat_midpoint",
                tr("missing: the two figures of the heat limit go together"),
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

    def _rate_by_temperature(self, table: Section) -> Rate:
        """Speeds as published; the one at the reference is read off the line between them."""
        reference_c = table.number("reference_c", -10.0, 50.0)
        speeds = []
        for entry in table.sections("by_temperature"):
            temperature_c = entry.number("at_c", -10.0, 50.0)
            speeds.append(SpeedAt(temperature_c, self._figure(entry, "speed", Quantity.SPEED)))
            entry.finish()
        table.finish()
        known = [at.temperature_c for at in speeds]
        # Before they are read between: of two at one temperature neither could be.
        for index, (colder_c, warmer_c) in enumerate(pairwise(known), start=1):
            if colder_c >= warmer_c:
                raise table.refusal(
                    f"by_temperature[{index}].at_c", tr("temperatures need to go up")
                )
        if not known[0] <= reference_c <= known[-1]:
            raise table.refusal(
                "reference_c", tr("needs to be within the temperatures of the speeds")
            )
        nearest = min(speeds, key=lambda at: abs(at.temperature_c - reference_c)).per_day
        middle, low, high = (
            log_interpolated(reference_c, known, [getattr(at.per_day, end) for at in speeds])
            for end in ("value", "low", "high")
        )
        at_reference = replace(nearest, value=middle, low=low, high=high)
        return Rate(reference_c, at_reference, by_temperature=tuple(speeds))

    def _gate(self, table: Section) -> Gate:
        gate = Gate(
            name=table.text("name"),
            needs=self._days_at(table, "needs"),
            none_above_c=table.number("none_above_c", -10.0, 50.0),
            meanwhile=self._figure(table, "meanwhile", Quantity.SHARE),
            ethylene_days=(
                self._figure(table, "ethylene_days", Quantity.DURATION)
                if "ethylene_days" in table
                else None
            ),
            per_age=(
                self._figure(table, "per_age", Quantity.TIMES_PER_AGE)
                if "per_age" in table
                else None
            ),
            width=self._figure(table, "width", Quantity.OF_NEED) if "width" in table else None,
        )
        table.finish()
        return gate

    def _activation(self, table: Section) -> Figure:
        """The slope with temperature, written either as an energy or as a Q10 on an interval."""
        if "activation" in table and "q10" in table:
            raise table.refusal("q10", tr("says the same as activation: give one of the two"))
        if "q10" not in table:
            return self._figure(table, "activation", Quantity.ENERGY)
        entry = table.section("q10")
        from_c, to_c = entry.number("from_c", -10.0, 60.0), entry.number("to_c", -10.0, 60.0)
        if from_c >= to_c:
            raise entry.refusal("to_c", tr("needs to be warmer than from_c"))
        q10 = take_figure(entry, Quantity.Q10, self._sources)
        entry.finish()
        return replace(
            q10,
            value=activation_kj_mol_from_q10(q10.value, from_c, to_c),
            low=activation_kj_mol_from_q10(q10.low, from_c, to_c),
            high=activation_kj_mol_from_q10(q10.high, from_c, to_c),
        )

    def _wont_ripen(self, table: Section, scale: Quantity) -> WontRipen:
        wont_ripen = WontRipen(
            half_n=self._figure(table, "half", scale),
            width_n=self._figure(table, "width", scale),
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
            freezing_c=(
                self._figure(table, "freezing", Quantity.TEMPERATURE)
                if "freezing" in table
                else None
            ),
        )
        table.finish()
        return storage

    def _days_at(self, table: Section, key: str) -> tuple[DaysAt, ...]:
        return read_days_at(table, key, self._sources)
