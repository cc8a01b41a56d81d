"""One crop's statements, and what the program says of each when its figures are other ones."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace

import numpy as np

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.records.crop.section import INFERRED, ProfileRefusal
from ripenroom.records.crop.statement import Asks, Kind, Statement
from ripenroom.science.softening import Floats
from ripenroom.season.published import WrittenCrop, middles, said
from tests.fits.priors import Prior, prior_of
from tests.fits.scales import interval_on_scale, said_on_scale

WEIGHT: dict[Kind, float] = {
    "trial": 1.0,
    "handbook": 1.0,
    "extension": 1.25,
    "trade": 1.6,
    "hearsay": 2.5,
}
"""Times as far off as a trial's a statement of that kind may be; set by hand, since there are too
few of some kinds to learn it from."""

READ_FROM_WORDS = 2.0
"""Times as far off as one that is printed a number may be that was read from words."""

_STEP = 0.02
"""Change of a figure, on its scale, by which slopes are taken: beyond rounding, within a curve."""

_LONG_DAYS = 5.0
"""Shorter stays end no fruit."""

_CLIFF = 8.0
"""A change of a figure by a percent does not change what fruit does by a twelfth."""

_HALVINGS = 8

_BEARS = 0.005
"""A statement bears on a figure if it answers to it by at least this part."""


@dataclass(frozen=True)
class CropModel:
    """A crop's document, its statements, and the figures that these bear on.

    The first ``published`` statements are those of the sources, the others are implied by them.
    """

    key: str
    document: CropDocument
    statements: Sequence[Statement]
    prior: Prior
    published: int
    intervals: Floats = field(init=False)

    def __post_init__(self) -> None:
        ends = [interval_on_scale(one) for one in self.statements]
        object.__setattr__(self, "intervals", np.array(ends, dtype=float).reshape(-1, 2))

    @classmethod
    def of(cls, key: str, text: str, statements: Sequence[Statement]) -> "CropModel":
        """The model of a profile's text: its figures are those that any statement bears on."""
        document = CropDocument(text)
        prior = prior_of(document)
        prior = prior.of(
            np.array([n for n, p in enumerate(prior.paths) if not by_hand(document, p)])
        )
        # What is published of a figure that is set by hand infers nothing.
        bearing = [s for s in statements if s.asks is not Asks.FIGURE or s.figure in prior.paths]
        # Of cold that a profile takes for harmless no injury follows from any figure.
        bearing = [one for one in bearing if not _harmless(document, one)]
        published = len(bearing)
        bearing += [found for one in bearing for found in implied(one)]
        whole = cls(key, document, bearing, prior, published)
        at = whole.written()
        both = [at, whole.possible(0.5 * (at + whole.prior.mean), at)]
        slopes = np.array([whole.said_and_slopes(one)[1] for one in both])
        bears = np.abs(slopes).max(axis=(0, 1), initial=0.0) > _BEARS
        return whole.with_figures(np.flatnonzero(bears))

    def with_figures(self, which: np.ndarray) -> "CropModel":
        """The same with some of the figures only; the others stay as the document has them."""
        return replace(self, prior=self.prior.of(which))

    @property
    def inferred(self) -> np.ndarray:
        """Which of the figures are marked as inferred in the document."""
        sources = [self.document.table(path)["source"] for path in self.prior.paths]
        return np.array([source == INFERRED for source in sources], dtype=bool)

    @property
    def weights(self) -> Floats:
        """Times as far off as a trial's number each statement may be, (statements,)."""
        return np.array(
            [
                WEIGHT[one.kind] * (READ_FROM_WORDS if one.note.startswith("read as") else 1.0)
                for one in self.statements
            ]
        )

    def written(self) -> Floats:
        """The figures as the document has them, on their scales."""
        prior = self.prior
        return np.array(
            [
                scale.to(_number(self.document.table(path), "value"))
                for path, scale in zip(prior.paths, prior.scales, strict=True)
            ]
        )

    def crop_with(self, at: Floats) -> WrittenCrop:
        """The crop with other figures; raises ``ValueError`` where these cannot be.

        Ranges are moved along, and left out where they then reach beyond what a profile may say.
        """
        try:
            return WrittenCrop.of_document(self._document_with(at, ranges=True))
        except ProfileRefusal:
            pass
        try:
            return WrittenCrop.of_document(self._document_with(at, ranges=False))
        except ProfileRefusal as refusal:
            raise ValueError(str(refusal)) from refusal

    def _document_with(self, at: Floats, ranges: bool) -> CropDocument:
        document = deepcopy(self.document)
        for path, scale, where in zip(self.prior.paths, self.prior.scales, at, strict=True):
            table = document.table(path)
            move = float(where) - scale.to(_number(table, "value"))
            value = scale.back(float(where))
            ends = [value, value]
            if ranges:
                ends = [scale.back(scale.to(_number(table, e)) + move) for e in ("low", "high")]
            for key, end in zip(
                ("low", "value", "high"), (min(*ends, value), value, max(*ends, value)), strict=True
            ):
                document.put((*path, key), float(f"{end:.9g}"))
        return document

    def said(self, at: Floats) -> Floats:
        """What the program says of every statement, (statements,), on their scales."""
        return np.asarray(self.said_at([at])[0])

    def said_and_slopes(self, at: Floats) -> tuple[Floats, Floats]:
        """:meth:`said`, and its derivatives by the figures, (statements, figures)."""
        crops = [self.crop_with(at)]
        steps = np.full(at.size, _STEP)
        for n in range(at.size):
            for step in (_STEP, -_STEP, _STEP / 10.0, -_STEP / 10.0):
                way = at.copy()
                way[n] += step
                try:
                    crops.append(self.crop_with(way))
                except ValueError:
                    continue
                steps[n] = step
                break
            else:
                crops.append(crops[0])
        found = self.said_of(crops)
        slopes = np.asarray(((found[1:] - found[0]) / steps[:, None]).T)
        # A step that makes fruit fail altogether is no slope to follow.
        return found[0], np.where(np.abs(slopes) > _CLIFF, 0.0, slopes)

    def possible(self, at: Floats, towards: Floats) -> Floats:
        """The figures ``at``, or as near to them on the way from ``towards`` as can be."""
        part = 1.0
        for _ in range(_HALVINGS):
            there = towards + part * (at - towards)
            try:
                self.crop_with(there)
            except ValueError:
                part /= 2.0
                continue
            return there
        return towards

    def air_doubt(self, at: Floats) -> Floats:
        """Sd on its scale of each statement from temperatures that were not printed."""
        crop = {self.key: self.crop_with(at)}
        mine = [(self.key, one) for one in self.statements]
        with_doubt = said(crop, mine)
        exact = [(self.key, _exact(one)) for one in self.statements]
        without = said(crop, exact)
        scale = list(self.statements)
        wide, narrow = (
            said_on_scale(scale, ends.high) - said_on_scale(scale, ends.low)
            for ends in (with_doubt, without)
        )
        more = np.sqrt(np.maximum(wide**2 - narrow**2, 0.0)) / (2.0 * 1.2816)
        return np.where(np.isfinite(more), np.minimum(more, 0.5), 0.0)

    def said_at(self, ways: Sequence[Floats]) -> Floats:
        """:meth:`said` with each of several sets of figures, (ways, statements)."""
        return self.said_of([self.crop_with(way) for way in ways])

    def said_of(self, crops: Sequence[WrittenCrop]) -> Floats:
        """What the program says of every statement by each of some crops, (crops, statements)."""
        named = {f"{self.key}{n}": crop for n, crop in enumerate(crops)}
        values = middles(named, [(key, one) for key in named for one in self.statements])
        return said_on_scale(list(self.statements), values.reshape(len(crops), -1))


def by_hand(document: CropDocument, path: Path) -> bool:
    """Whether a figure is marked as set by hand though statements bear on it; its note says why."""
    return str(document.table(path).get("note", "")).startswith("By hand: ")


def _harmless(document: CropDocument, statement: Statement) -> bool:
    threshold = document.table(("chilling", "threshold"))
    if statement.asks is not Asks.INJURY or not threshold:
        return False
    return statement.stays[-1].celsius >= _number(threshold, "value")


def implied(statement: Statement) -> list[Statement]:
    """What a statement about fruit after a stay implies: that it was sound at the end of that stay.

    Where the program has such fruit end before, it says "never", and no slope leads out of that.
    """
    if statement.asks not in (Asks.READY, Asks.MARK):
        return []
    return [
        replace(
            statement,
            asks=Asks.KEPT,
            stays=(*statement.stays[:n], replace(stay, days=None)),
            low=stay.days,
            high=None,
            rounding=0.0,
            times_at_c=None,
            mark_n=None,
        )
        for n, stay in enumerate(statement.stays[:-1])
        if stay.days is not None and stay.days >= _LONG_DAYS
    ]


def _number(table: Mapping[str, object], key: str) -> float:
    return float(str(table[key]))


def _exact(statement: Statement) -> Statement:
    return replace(statement, stays=tuple(replace(stay, doubt_k=0.0) for stay in statement.stays))
