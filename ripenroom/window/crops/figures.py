"""What is known of a crop, line by line: each figure with its range and where it comes from."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ripenroom.records.crop.crop_names import as_called, gate_called
from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import Quantity
from ripenroom.texts import tr
from ripenroom.window.crops.figure_source import origin_of, told_of
from ripenroom.window.crops.figure_units import Units
from ripenroom.wording.names import begun, feel_names

Kind = Literal["figure", "number", "words"]
"""A figure with range and source; a bare number of the profile; words that are only shown."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One thing known; ``path`` is where it stands in the profile's document.

    ``text`` is the value with its range, ``origin`` where it comes from in few words, and ``told``
    all of it in sentences. ``at_path`` is the temperature it holds for, if that may be changed.
    """

    path: Path
    label: str
    text: str
    origin: str
    told: str
    kind: Kind
    quantity: Quantity | None = None
    at_path: Path | None = None


@dataclass(frozen=True, slots=True)
class FigureGroup:
    """Lines that belong together."""

    title: str
    lines: tuple[FigureRow, ...]


def figure_groups(document: CropDocument, crop: CropProfile, units: Units) -> list[FigureGroup]:
    """Every figure of a crop, in groups; ``document`` is the profile as it is written.

    Figures that a cultivar group has of its own follow those of the crop, under its name.
    """
    found = _groups_of(_Reader(document, crop, units))
    for name, own in crop.of_groups.items():
        titled = tr("{group}: {title}")
        found += [
            FigureGroup(
                titled.format(group=begun(as_called(crop, name)), title=group.title.lower()),
                group.lines,
            )
            for group in _groups_of(_Reader(document, own, units, ("group", name)))
        ]
    return found


def _groups_of(reader: "_Reader") -> list[FigureGroup]:
    groups = [
        (tr("Marks of ripeness"), reader.marks()),
        (tr("Feels"), reader.feels()),
        (tr("Speed"), reader.speed()),
        (tr("Heat"), reader.heat()),
        (tr("Needed first"), reader.gate()),
        (tr("Ripe life"), reader.ripe_life()),
        (tr("Storage"), reader.storage()),
        (tr("Chilling"), reader.chilling()),
        (tr("Ripening"), reader.ripening()),
        (tr("Ethylene"), reader.ethylene()),
        (tr("Respiration"), reader.respiration()),
        (tr("Fruit and package"), reader.fruit()),
    ]
    found = [FigureGroup(title, tuple(line for line in lines if line)) for title, lines in groups]
    return [group for group in found if group.lines]


_Lines = Iterator[FigureRow | None]


class _Reader:
    """Reads one document, or what one cultivar group has of its own: then ``under`` leads there.

    What is not in it gives None.
    """

    def __init__(
        self, document: CropDocument, crop: CropProfile, units: Units, under: Path = ()
    ) -> None:
        self._document, self._crop, self._units, self._under = document, crop, units, under
        self._by_colour = crop.judged_by == "colour"
        self._scale = Quantity.GREEN if self._by_colour else Quantity.FIRMNESS

    # The groups

    def marks(self) -> _Lines:
        green = self._by_colour
        for key, label in (
            ("highest", tr("Greenest") if green else tr("Firmest")),
            ("at_maturity", tr("When mature")),
            ("ready", tr("Ready below")),
            ("too_soft", tr("Past below") if green else tr("Too soft below")),
            ("lowest", tr("Least green") if green else tr("Softest")),
            ("reading_error", tr("A look is off by") if green
             else tr("A reading is off by")),
        ):  # fmt: skip
            yield self._figure(("firmness", key), label, self._scale)
        probe = self._get(("firmness", "probe_mm"))
        if isinstance(probe, int | float):
            text = tr("{mm} mm").format(mm=self._units.words.number(float(probe), 0))
            yield self._number(("firmness", "probe_mm"), tr("Probe"), text)

    def feels(self) -> _Lines:
        names = feel_names(self._crop)
        below = tr("{feel}: below")
        for key, name in zip(("slight_give", "gives", "soft", "too_soft"), names[1:], strict=True):
            label = below.format(feel=name)
            yield self._figure(("feel", key), begun(label), self._scale)
        label = tr("An eye is off by") if self._by_colour else tr("A hand is off by")
        yield self._figure(("feel", "judgement"), label, Quantity.AGE)

    def speed(self) -> _Lines:
        at = tr("Speed at {temperature}")
        reference = self._celsius(("rate", "reference_c"))
        yield self._figure(("rate", "speed"), at.format(temperature=reference), Quantity.SPEED)
        yield from self._by_temperature(("rate", "by_temperature"), "speed", at, Quantity.SPEED)
        rise = tr("Rise with warmth")
        yield self._figure(("rate", "activation"), rise, Quantity.ENERGY)
        yield self._figure(("rate", "q10"), rise, Quantity.Q10)
        spread = tr("Fruit of one pick differ by")
        yield self._figure(("fruit", "spread"), spread, Quantity.AGE)
        half = (
            tr("Half won't ripen if greener than")
            if self._by_colour
            else tr("Half won't ripen if firmer than")
        )
        yield self._figure(("wont_ripen", "half"), half, self._scale)
        width = tr("From few to most of them takes")
        yield self._figure(("wont_ripen", "width"), width, self._scale)

    def heat(self) -> _Lines:
        half = tr("Half of that speed at")
        yield self._figure(("rate", "heat_midpoint"), half, Quantity.TEMPERATURE)
        steep = tr("How sharply it falls")
        yield self._figure(("rate", "heat_energy"), steep, Quantity.ENERGY)

    def gate(self) -> _Lines:
        if self._crop.gate is None:
            return
        name = gate_called(self._crop.gate)
        at = tr("{name} at {{temperature}}").format(name=begun(name))
        yield from self._by_temperature(("gate", "needs"), "days", at, Quantity.DURATION)
        yield self._temperature(("gate", "none_above_c"), tr("None counts above"))
        riper = tr("Riper fruit needs this part of it")
        yield self._figure(("gate", "per_age"), riper, Quantity.TIMES_PER_AGE)
        gradual = tr("How gradually it starts")
        yield self._figure(("gate", "width"), gradual, Quantity.OF_NEED)
        until = tr("Speed until then")
        yield self._figure(("gate", "meanwhile"), until, Quantity.SHARE)
        instead = tr("Or ethylene, for")
        yield self._figure(("gate", "ethylene_days"), instead, Quantity.DURATION)

    def ripe_life(self) -> _Lines:
        at = tr("Stays good once ready, at {temperature}")
        label = at.format(temperature=self._celsius(("ripe_life", "reference_c")))
        yield self._figure(("ripe_life", "days"), label, Quantity.DURATION)
        shorter = tr("Shorter with warmth by")
        yield self._figure(("ripe_life", "q10"), shorter, Quantity.Q10)

    def storage(self) -> _Lines:
        at = tr("Longest at {temperature}")
        yield self._temperature(("storage", "best_low_c"), tr("Best from"))
        yield self._temperature(("storage", "best_high_c"), tr("Best up to"))
        yield self._figure(("storage", "humidity"), tr("Humidity"), Quantity.PERCENT)
        yield from self._by_temperature(("storage", "life"), "days", at, Quantity.DURATION)
        freezing = tr("Freezes at")
        yield self._figure(("storage", "freezing"), freezing, Quantity.TEMPERATURE)

    def chilling(self) -> _Lines:
        below = tr("Injured below")
        yield self._figure(("chilling", "threshold"), below, Quantity.TEMPERATURE)
        at = tr("Can take {temperature} for")
        yield from self._by_temperature(("chilling", "allowance"), "days", at, Quantity.DURATION)

    def ripening(self) -> _Lines:
        for key, label in (
            ("low_c", tr("Best from")),
            ("high_c", tr("Best up to")),
            ("limit_c", tr("Spoiled from")),
            ("stop_c", tr("Stops at")),
        ):
            yield self._temperature(("ripening", key), label, ("ripening", "source"))
        at = tr("Ripe after, at {temperature}")
        yield from self._by_temperature(("ripening", "days"), "days", at, Quantity.DURATION)

    def ethylene(self) -> _Lines:
        for key, label in (
            ("produces", tr("Gives off")),
            ("responds", tr("Responds to it")),
        ):
            yield self._words(("ethylene", key), label, ("ethylene", "source"))
        yield self._figure(("ethylene", "dose"), tr("Usual dose"), Quantity.DOSE)
        yield self._figure(("ethylene", "hours"), tr("For"), Quantity.HOURS)

    def respiration(self) -> _Lines:
        at = tr("At {temperature}")
        for index in range(self._length(("respiration",))):
            unit = self._get(("respiration", index, "rate", "unit"))
            by_volume = unit in Quantity.RESPIRATION_BY_VOLUME.value.units
            quantity = Quantity.RESPIRATION_BY_VOLUME if by_volume else Quantity.RESPIRATION
            yield self._at(("respiration", index), "rate", at, quantity)

    def fruit(self) -> _Lines:
        yield self._figure(("fruit", "mass"), tr("One fruit weighs"), Quantity.MASS)
        yield self._figure(("fruit", "per_crate"), tr("Fruit in a crate"), Quantity.COUNT)
        eaten = tr("Buyers eat it within")
        yield self._figure(("fruit", "buyers_eat_within"), eaten, Quantity.DURATION)
        package = tr("Usual package")
        yield self._words(("fruit", "package"), package, ("fruit", "package_source"))

    # One line

    def _by_temperature(self, path: Path, key: str, label: str, quantity: Quantity) -> _Lines:
        for index in range(self._length(path)):
            yield self._at((*path, index), key, label, quantity)

    def _at(self, path: Path, key: str, label: str, quantity: Quantity) -> FigureRow | None:
        at_path = (*path, "at_c")
        said = label.format(temperature=self._celsius(at_path))
        return self._figure((*path, key), said, quantity, at_path)

    def _figure(
        self, path: Path, label: str, quantity: Quantity, at_path: Path | None = None
    ) -> FigureRow | None:
        table = self._document.table((*self._under, *path))
        if not table:
            return None
        convert = quantity.value.units[str(table["unit"])]
        values = [convert(float(str(table[key]))) for key in ("value", "low", "high")]
        text = self._units.shown(quantity, *values)
        source, note = str(table["source"]), str(table.get("note", ""))
        return FigureRow(
            (*self._under, *path),
            label,
            text,
            origin_of(self._crop, source, note),
            told_of(self._crop, label, text, source, self._units.beside(note)),
            "figure",
            quantity,
            (*self._under, *at_path) if at_path else None,
        )

    def _temperature(
        self, path: Path, label: str, source_path: Path | None = None
    ) -> FigureRow | None:
        if self._get(path) is None:
            return None
        return self._number(path, label, self._celsius(path), Quantity.TEMPERATURE, source_path)

    def _number(
        self,
        path: Path,
        label: str,
        text: str,
        quantity: Quantity | None = None,
        source_path: Path | None = None,
    ) -> FigureRow:
        source = self._get(source_path) if source_path else None
        key = source if isinstance(source, str) else ""
        origin, told = origin_of(self._crop, key), told_of(self._crop, label, text, key)
        return FigureRow((*self._under, *path), label, text, origin, told, "number", quantity)

    def _words(self, path: Path, label: str, source_path: Path) -> FigureRow | None:
        text, source = self._get(path), self._get(source_path)
        if not isinstance(text, str):
            return None
        key = source if isinstance(source, str) else ""
        origin, told = origin_of(self._crop, key), told_of(self._crop, label, text, key)
        return FigureRow((*self._under, *path), label, text, origin, told, "words")

    def _get(self, path: Path) -> object:
        return self._document.get((*self._under, *path))

    def _length(self, path: Path) -> int:
        return self._document.length((*self._under, *path))

    def _celsius(self, path: Path) -> str:
        value = self._get(path)
        if value is None:  # what a group does not say is the crop's own
            value = self._document.get(path)
        known = isinstance(value, int | float)
        return self._units.shown(Quantity.TEMPERATURE, float(str(value))) if known else ""
