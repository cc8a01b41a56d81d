"""What is known of a crop, line by line: each figure with its range and where it comes from."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QCoreApplication

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import Quantity
from ripenroom.window.crops.figure_source import origin_of, told_of
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.names import begun, feel_names

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
        titled = QCoreApplication.translate("Crops", "{group}: {title}")
        found += [
            FigureGroup(titled.format(group=begun(name), title=group.title.lower()), group.lines)
            for group in _groups_of(_Reader(document, own, units, ("group", name)))
        ]
    return found


def _groups_of(reader: "_Reader") -> list[FigureGroup]:
    groups = [
        (QCoreApplication.translate("Crops", "Marks of ripeness"), reader.marks()),
        (QCoreApplication.translate("Crops", "Feels"), reader.feels()),
        (QCoreApplication.translate("Crops", "Speed"), reader.speed()),
        (QCoreApplication.translate("Crops", "Heat"), reader.heat()),
        (QCoreApplication.translate("Crops", "Needed first"), reader.gate()),
        (QCoreApplication.translate("Crops", "Ripe life"), reader.ripe_life()),
        (QCoreApplication.translate("Crops", "Storage"), reader.storage()),
        (QCoreApplication.translate("Crops", "Chilling"), reader.chilling()),
        (QCoreApplication.translate("Crops", "Ripening"), reader.ripening()),
        (QCoreApplication.translate("Crops", "Ethylene"), reader.ethylene()),
        (QCoreApplication.translate("Crops", "Respiration"), reader.respiration()),
        (QCoreApplication.translate("Crops", "Fruit and package"), reader.fruit()),
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
        say = QCoreApplication.translate
        for key, label in (
            ("highest", say("Crops", "Greenest") if green else say("Crops", "Firmest")),
            ("at_maturity", say("Crops", "When mature")),
            ("ready", say("Crops", "Ready below")),
            ("too_soft", say("Crops", "Past below") if green else say("Crops", "Too soft below")),
            ("lowest", say("Crops", "Least green") if green else say("Crops", "Softest")),
            ("reading_error", say("Crops", "One look is off by") if green
             else say("Crops", "One reading is off by")),
        ):  # fmt: skip
            yield self._figure(("firmness", key), label, self._scale)
        probe = self._get(("firmness", "probe_mm"))
        if isinstance(probe, int | float):
            text = say("Crops", "{mm} mm").format(mm=self._units.words.number(float(probe), 0))
            yield self._number(("firmness", "probe_mm"), say("Crops", "Probe"), text)

    def feels(self) -> _Lines:
        names = feel_names(self._crop)
        below = QCoreApplication.translate("Crops", "{feel}: below")
        for key, name in zip(("slight_give", "gives", "soft", "too_soft"), names[1:], strict=True):
            label = below.format(feel=name)
            yield self._figure(("feel", key), begun(label), self._scale)
        label = (
            QCoreApplication.translate("Crops", "An eye is off by")
            if self._by_colour
            else QCoreApplication.translate("Crops", "A hand is off by")
        )
        yield self._figure(("feel", "judgement"), label, Quantity.AGE)

    def speed(self) -> _Lines:
        say = QCoreApplication.translate
        at = say("Crops", "Speed at {temperature}")
        reference = self._celsius(("rate", "reference_c"))
        yield self._figure(("rate", "speed"), at.format(temperature=reference), Quantity.SPEED)
        yield from self._by_temperature(("rate", "by_temperature"), "speed", at, Quantity.SPEED)
        rise = say("Crops", "Rise with warmth")
        yield self._figure(("rate", "activation"), rise, Quantity.ENERGY)
        yield self._figure(("rate", "q10"), rise, Quantity.Q10)
        spread = say("Crops", "Fruit of one pick differ by")
        yield self._figure(("fruit", "spread"), spread, Quantity.AGE)
        half = (
            say("Crops", "Half won't ripen if greener than")
            if self._by_colour
            else say("Crops", "Half won't ripen if firmer than")
        )
        yield self._figure(("wont_ripen", "half"), half, self._scale)
        width = say("Crops", "That edge is as wide as")
        yield self._figure(("wont_ripen", "width"), width, self._scale)

    def heat(self) -> _Lines:
        half = QCoreApplication.translate("Crops", "Half of that speed at")
        yield self._figure(("rate", "heat_midpoint"), half, Quantity.TEMPERATURE)
        steep = QCoreApplication.translate("Crops", "Steepness of the fall")
        yield self._figure(("rate", "heat_energy"), steep, Quantity.ENERGY)

    def gate(self) -> _Lines:
        say = QCoreApplication.translate
        if self._crop.gate is None:
            return
        name = self._crop.gate.name
        at = say("Crops", "{name} at {{temperature}}").format(name=begun(name))
        yield from self._by_temperature(("gate", "needs"), "days", at, Quantity.DURATION)
        yield self._temperature(("gate", "none_above_c"), say("Crops", "None is gained above"))
        riper = say("Crops", "Riper fruit needs this part of it")
        yield self._figure(("gate", "per_age"), riper, Quantity.TIMES_PER_AGE)
        gradual = say("Crops", "How gradually it starts")
        yield self._figure(("gate", "width"), gradual, Quantity.OF_NEED)
        until = say("Crops", "Speed until then")
        yield self._figure(("gate", "meanwhile"), until, Quantity.SHARE)
        instead = say("Crops", "Ethylene instead, for")
        yield self._figure(("gate", "ethylene_days"), instead, Quantity.DURATION)

    def ripe_life(self) -> _Lines:
        at = QCoreApplication.translate("Crops", "Good once ready, at {temperature}")
        label = at.format(temperature=self._celsius(("ripe_life", "reference_c")))
        yield self._figure(("ripe_life", "days"), label, Quantity.DURATION)
        shorter = QCoreApplication.translate("Crops", "Shorter with warmth by")
        yield self._figure(("ripe_life", "q10"), shorter, Quantity.Q10)

    def storage(self) -> _Lines:
        say = QCoreApplication.translate
        at = say("Crops", "Longest at {temperature}")
        yield self._temperature(("storage", "best_low_c"), say("Crops", "Best from"))
        yield self._temperature(("storage", "best_high_c"), say("Crops", "Best up to"))
        yield self._figure(("storage", "humidity"), say("Crops", "Humidity"), Quantity.PERCENT)
        yield from self._by_temperature(("storage", "life"), "days", at, Quantity.DURATION)
        freezing = say("Crops", "Freezes at")
        yield self._figure(("storage", "freezing"), freezing, Quantity.TEMPERATURE)

    def chilling(self) -> _Lines:
        below = QCoreApplication.translate("Crops", "Injured below")
        yield self._figure(("chilling", "threshold"), below, Quantity.TEMPERATURE)
        at = QCoreApplication.translate("Crops", "Stands {temperature} for")
        yield from self._by_temperature(("chilling", "allowance"), "days", at, Quantity.DURATION)

    def ripening(self) -> _Lines:
        say = QCoreApplication.translate
        for key, label in (
            ("low_c", say("Crops", "Best from")),
            ("high_c", say("Crops", "Best up to")),
            ("limit_c", say("Crops", "Spoilt from")),
            ("stop_c", say("Crops", "Stops at")),
        ):
            yield self._temperature(("ripening", key), label, ("ripening", "source"))
        at = say("Crops", "Ripe after, at {temperature}")
        yield from self._by_temperature(("ripening", "days"), "days", at, Quantity.DURATION)

    def ethylene(self) -> _Lines:
        say = QCoreApplication.translate
        for key, label in (
            ("produces", say("Crops", "Gives off")),
            ("responds", say("Crops", "Responds to it")),
        ):
            yield self._words(("ethylene", key), label, ("ethylene", "source"))
        yield self._figure(("ethylene", "dose"), say("Crops", "Usual dose"), Quantity.DOSE)
        yield self._figure(("ethylene", "hours"), say("Crops", "For"), Quantity.HOURS)

    def respiration(self) -> _Lines:
        at = QCoreApplication.translate("Crops", "At {temperature}")
        for index in range(self._length(("respiration",))):
            unit = self._get(("respiration", index, "rate", "unit"))
            by_volume = unit in Quantity.RESPIRATION_BY_VOLUME.value.units
            quantity = Quantity.RESPIRATION_BY_VOLUME if by_volume else Quantity.RESPIRATION
            yield self._at(("respiration", index), "rate", at, quantity)

    def fruit(self) -> _Lines:
        say = QCoreApplication.translate
        yield self._figure(("fruit", "mass"), say("Crops", "One weighs"), Quantity.MASS)
        yield self._figure(("fruit", "per_crate"), say("Crops", "In a crate"), Quantity.COUNT)
        eaten = say("Crops", "Buyers eat it within")
        yield self._figure(("fruit", "buyers_eat_within"), eaten, Quantity.DURATION)
        package = say("Crops", "Usual package")
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
            told_of(self._crop, label, text, source, note),
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
