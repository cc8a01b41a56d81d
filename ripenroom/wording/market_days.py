"""Market days in words: what one wants and gets, what is missing, and what became of past ones."""

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay, Want
from ripenroom.season.plans.plan import Risk
from ripenroom.season.projection import Supply, Verdict
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats
from ripenroom.wording.likely_fruit import more_likely_words
from ripenroom.wording.names import crop_name, fruit_name
from ripenroom.wording.reader import Reader

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedMarket


@dataclass(frozen=True, slots=True)
class Sale:
    """Fruit of one crop on a market day that is over; ``brought`` is None where nobody said."""

    brought: int | None
    sold: int
    thrown: int

    @property
    def came_back(self) -> int:
        """Fruit that was neither sold nor thrown away."""
        return max((self.brought or 0) - self.sold - self.thrown, 0)


@dataclass(frozen=True, slots=True)
class WantOutlook:
    """One crop of a market day.

    ``supply`` is what will be ready: of what is ``planned`` for the day, if there is a plan, else
    of all there is. It is None once the day is over; then there is a ``sale``, unless nothing of
    it is written down yet. Of a day that has begun, ``packed`` is what stands packed for it, and
    nothing else is looked ahead at. ``want`` is what was typed, None for what came without being
    wanted.
    """

    crop: str
    wanted: int
    want: Want | None
    supply: Supply | None
    planned: "PlannedMarket | None"
    sale: Sale | None
    packed: int | None = None


@dataclass(frozen=True, slots=True)
class MarketDayOutlook:
    """One market day with its crops; ``takings_minor`` are expected, or taken once it is over.

    None where nothing is priced, or nothing planned yet.
    """

    day: MarketDay
    over: bool
    wants: tuple[WantOutlook, ...]
    takings_minor: float | None


def market_lines(reader: Reader) -> list[MarketDayOutlook]:
    """Every market day: what comes next on top, what is over below."""
    season, plan = reader.season, reader.plans.plan
    ask, book = season.ask, season.book
    supplies = {(supply.market_day_id, supply.crop): supply for supply in season.supply()}
    planned = {(one.market_day_id, one.crop): one for one in plan.markets} if plan else {}
    wants: dict[str, list[Want]] = {}
    for want in book.wants.values():
        wants.setdefault(want.market_day_id, []).append(want)
    sales, takings = _sales(book), _takings(book)

    def ahead(day: MarketDay, want: Want) -> WantOutlook:
        key = day.id, want.crop
        market = planned.get(key)
        # A plan of before a change of the want says nothing of it.
        market = market if market is not None and market.wanted == want.count else None
        supply = supplies.get(key) if market is None else market.supply
        name = crop_name(season.crops, want.crop)
        return WantOutlook(name, want.count, want, supply, market, None)

    def begun(day: MarketDay, wants: list[Want]) -> tuple[WantOutlook, ...]:
        packed = Counter[str]()
        for batch_id, fruit in ask.packed_for(day).items():
            packed[book.batches[batch_id].crop] += fruit
        named = ((want, crop_name(season.crops, want.crop)) for want in wants)
        return tuple(
            WantOutlook(name, want.count, want, None, None, None, packed[want.crop])
            for want, name in named
        )

    def over(day: MarketDay, crop: str, want: Want | None) -> WantOutlook:
        # Nothing written down is no sale of nothing, until it was said that this was all.
        nothing = None if day.settled_at is None else Sale(None, 0, 0)
        sale = sales.get((day.id, crop), nothing)
        count = want.count if want else 0
        return WantOutlook(crop_name(season.crops, crop), count, want, None, None, sale)

    def line(day: MarketDay) -> MarketDayOutlook:
        of_day = sorted(wants.get(day.id, []), key=lambda want: want.crop)
        if not ask.is_over(day):
            if day.starts_at <= season.now():
                return MarketDayOutlook(day, False, begun(day, of_day), None)
            expected = _expected_takings(plan, day, of_day)
            return MarketDayOutlook(day, False, tuple(ahead(day, w) for w in of_day), expected)
        crops = {want.crop: want for want in of_day}
        others = sorted({crop for day_id, crop in sales if day_id == day.id} - crops.keys())
        found = [over(day, want.crop, want) for want in of_day]
        found += [over(day, crop, None) for crop in others]
        return MarketDayOutlook(day, True, tuple(found), takings.get(day.id))

    lines = [line(day) for day in sorted(book.market_days.values(), key=lambda day: day.starts_at)]
    return [one for one in lines if not one.over] + [one for one in lines[::-1] if one.over]


def _sales(book: Book) -> dict[tuple[str, str], Sale]:
    """What came to every market day and what became of it, by day and crop."""
    brought: Counter[tuple[str, str]] = Counter()
    gone: dict[str, Counter[tuple[str, str]]] = {"sold": Counter(), "discarded": Counter()}
    for record in book.brought.values():
        brought[record.market_day_id, book.batches[record.batch_id].crop] += record.count
    for removal in book.removals.values():
        if removal.market_day_id is not None:
            key = removal.market_day_id, book.batches[removal.batch_id].crop
            gone[removal.outcome][key] += removal.count
    sold, thrown = gone["sold"], gone["discarded"]
    return {
        key: Sale(brought.get(key), sold[key], thrown[key])
        for key in brought.keys() | sold.keys() | thrown.keys()
    }


def _expected_takings(plan: "Plan | None", day: MarketDay, wants: list[Want]) -> float | None:
    if plan is None or all(want.price_minor is None for want in wants):
        return None
    if all(market.market_day_id != day.id for market in plan.markets):
        return None  # the plan is of before the day was added
    of_day = (line for line in plan.lines if line.market_day_id == day.id)
    return sum(line.expected_value_minor for line in of_day)


def _takings(book: Book) -> dict[str, float]:
    """What every market day took, as far as prices are noted; by its id."""
    taken: dict[str, float] = {}
    for removal in book.removals.values():
        if removal.market_day_id is not None and removal.price_minor is not None:
            before = taken.get(removal.market_day_id, 0.0)
            taken[removal.market_day_id] = before + removal.count * removal.price_minor
    return taken


def sale_words(sale: Sale, words: Formats) -> list[str]:
    """``["brought 38", "sold 30", "thrown 2, back 6"]``; what nobody said is left out."""
    if sale == Sale(None, 0, 0):
        return [tr("none brought")]
    parts = []
    if sale.brought is not None:
        parts.append(tr("brought {count}").format(count=words.number(sale.brought)))
    parts.append(tr("sold {count}").format(count=words.number(sale.sold)))
    rest = []
    if sale.thrown:
        rest.append(tr("thrown {count}").format(count=words.number(sale.thrown)))
    if sale.came_back:
        rest.append(tr("back {count}").format(count=words.number(sale.came_back)))
    return [*parts, ", ".join(rest)] if rest else parts


def packed_words(packed: int, words: Formats) -> str:
    """``"packed 9"``, of a market day that has begun."""
    return tr("packed {count}").format(count=words.number(packed)) if packed else tr("none packed")


def verdict_words(supply: Supply, words: Formats) -> str:
    """Shortage or surplus: ``"12–30 short"``, ``"up to 8 short"``, ``"enough"``."""
    missing_most = supply.wanted - supply.low
    found = supply.verdict
    if found is Verdict.SHORT:
        return tr("{range} short").format(
            range=words.number_range(supply.wanted - supply.high, missing_most)
        )
    if found is Verdict.TIGHT and round(missing_most):
        return tr("up to {most} short").format(most=words.number(missing_most))
    if found is Verdict.SPARE and round(supply.high - supply.wanted):
        return tr("{range} to spare").format(
            range=words.number_range(supply.low - supply.wanted, supply.high - supply.wanted)
        )
    return tr("enough")


def asked_words(want: Want, words: Formats) -> str:
    """What is wanted, as it was typed: ``"60 wanted at $2.00"``, ``"2 boxes at $30.00, 24
    fruit"``, ``"10 lb at $4.50, about 30 fruit"``."""
    asked, price = amount_words(want, words), want.unit_price_minor
    if want.sold_by == "fruit":
        asked, price = tr("{count} wanted").format(count=asked), want.price_minor
    if price is not None:
        asked = tr("{wanted} at {price}").format(wanted=asked, price=words.money(price))
    if want.sold_by == "fruit":
        return asked
    # What will be good to sell of it is told in fruit.
    in_fruit = tr("{wanted}, about {fruit} fruit")
    if want.sold_by == "box":
        in_fruit = tr("{wanted}, {fruit} fruit")
    return in_fruit.format(wanted=asked, fruit=words.number(want.count))


def wanted_words(want: Want, reader: Reader) -> str:
    """What is wanted of which crop, as it was typed, and what that is in fruit, in which sales are
    counted: ``"10 pawpaws at $2.00"``, ``"10 lb of pawpaws at $4.50, about 30 fruit at $1.50
    each"``."""
    words, crops = reader.words, reader.season.crops
    if want.sold_by == "fruit":
        said = tr("{count} {crop}").format(
            count=words.number(want.count), crop=fruit_name(crops, want.crop, want.count)
        )
        if want.price_minor is None:
            return said
        return tr("{wanted} at {price}").format(wanted=said, price=words.money(want.price_minor))
    said = tr("{amount} of {crop}").format(
        amount=amount_words(want, words), crop=fruit_name(crops, want.crop)
    )
    if want.unit_price_minor is not None:
        price = words.money(want.unit_price_minor)
        said = tr("{wanted} at {price}").format(wanted=said, price=price)
    fruit = tr_n("{n} fruit", "{n} fruit", want.count)
    if want.price_minor is not None:
        each = words.money(want.price_minor)
        fruit = tr("{fruit} at {price} each").format(fruit=fruit, price=each)
    text = tr("{wanted}: {fruit}") if want.sold_by == "box" else tr("{wanted}, about {fruit}")
    return text.format(wanted=said, fruit=fruit)


def amount_words(want: Want, words: Formats) -> str:
    """How much is wanted, in the unit that was typed: ``"60"``, ``"2 boxes"``, ``"10 lb"``."""
    if want.sold_by == "fruit":
        return words.number(want.count)
    amount = want.amount or 0.0
    number = words.figures(amount, 8)
    if want.sold_by == "box":
        boxes = tr_n("{number} box", "{number} boxes", 1 if amount == 1 else 2)
        return boxes.format(number=number)
    return f"{number}\u00a0{want.sold_by}"


def supply_words(supply: Supply, words: Formats) -> str:
    """Both sides: ``"60 wanted · good 72 (50–90)"``."""
    return tr("{wanted} wanted · {ready}").format(
        wanted=words.number(supply.wanted), ready=ready_words(supply, words)
    )


def ready_words(supply: Supply, words: Formats) -> str:
    """What is expected: ``"good 72 (50–90)"``, or ``"good 0"`` where that is sure."""
    ready = words.number_within(supply.ready, supply.low, supply.high)
    return tr("good {ready}").format(ready=ready)


_SURE = 0.995
"""From this chance on it would be told as 100 %."""


def risk_words(market: "PlannedMarket", words: Formats) -> str:
    """``"35 % risk of too few"``, ``"sure to be too few"``, or nothing."""
    if market.at_risk is Risk.LITTLE:
        return ""
    if market.risk >= _SURE:
        return tr("sure to be too few")
    return tr("{share} risk of too few").format(share=words.share(market.risk))


def planned_words(market: "PlannedMarket", words: Formats) -> str:
    """How many fruit the plan brings: ``"planned 48"``."""
    return tr("planned {count}").format(count=words.number(market.planned))


def want_words(line: WantOutlook, words: Formats) -> str:
    """``"Pawpaw, 60 wanted at $2.00 · planned 60 · good 52 (40–58): up to 20 short; 20 % risk
    of too few"``."""
    if line.supply is None:
        return _over_words(line, words)
    said = [ready_words(line.supply, words)]
    risk = likely = ""
    if line.planned is not None:
        risk = risk_words(line.planned, words)
        likely = more_likely_words(line.planned.likely, words)
        said.insert(0, planned_words(line.planned, words))
    if line.want is not None:
        said.insert(0, asked_words(line.want, words))
    verdict = "; ".join(text for text in (verdict_words(line.supply, words), risk, likely) if text)
    return f"{line.crop}, {' · '.join(said)}: {verdict}"


def _over_words(line: WantOutlook, words: Formats) -> str:
    wanted = f"{line.crop}, {asked_words(line.want, words)}" if line.want else line.crop
    sale = sale_words(line.sale, words) if line.sale is not None else []
    return " · ".join([wanted, *sale])
