"""Statements beside what the program says of them."""

import math
from collections.abc import Callable

import numpy as np
import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.statement import Asks, Start, Statement, Waits
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season.projection import Ranged
from ripenroom.season.published import WrittenCrop, said
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import figure_groups
from ripenroom.window.crops.published.claims import Claim, ClaimGroup, claim_groups
from ripenroom.window.crops.published.statement_words import known_figures
from tests.draws import one_in

PAWPAW = shipped_profiles()["pawpaw"]
Answer = tuple[float, float, float]
Show = Callable[..., list[ClaimGroup]]


@pytest.fixture
def show(units: Units) -> Show:
    known = known_figures(figure_groups(CropDocument(shipped_text("pawpaw")), PAWPAW, units))

    def made(*pairs: tuple[Statement, Answer]) -> list[ClaimGroup]:
        columns = np.array([answer for _, answer in pairs]).T
        return claim_groups(PAWPAW, [one for one, _ in pairs], Ranged(*columns), units, known)

    return made


def of(low: float | None, high: float | None, asks: Asks = Asks.KEPT, **more: object) -> Statement:
    stays = () if asks is Asks.FIGURE else (Waits(4.0, 0.0, None),)
    return Statement(asks, low, high, 0.5, "trial", "mcgrath1994", stays=stays, **more)  # type: ignore[arg-type]


def only(groups: list[ClaimGroup]) -> Claim:
    (group,) = groups
    (claim,) = group.claims
    return claim


@pytest.mark.parametrize(
    ("interval", "answer", "published", "words", "told"),
    [
        ((3.0, 5.0), (2.8, 4.12, 6.0), "3–5 days", "4.1 days (2.8–6.0)", "They agree."),
        ((28.0, 28.0), (25.5, 31.2, 42.0), "28 days", "31 days (26–42)", "They agree."),
        ((1.0, 1.0), (2.0, 3.0, 4.0), "1 day", "3.0 days (2.0–4.0)", "longer than published"),
        ((28.0, None), (2.0, 3.0, 4.0), "at least 28 days", "3.0", "shorter than published"),
        ((None, 7.0), (7.2, 9.0, 11.0), "at most 7 days", "9.0", "They agree within its rounding."),
        ((3.0, 5.0), (math.nan,) * 3, "3–5 days", "never", "Missed."),
        ((28.0, None), (math.nan,) * 3, "at least 28 days", "never", "They agree."),
        ((3.0, 5.0), (2.0, 4.0, math.nan), "3–5 days", "4.0 days (2.0 or more)", "They agree."),
    ],
)
def test_what_is_published_and_what_the_program_says_in_words(
    show: Show,
    interval: tuple[float | None, float | None],
    answer: Answer,
    published: str,
    words: str,
    told: str,
) -> None:
    claim = only(show((of(*interval), answer)))
    assert claim.published == published
    assert claim.answer.startswith(words)
    assert told in claim.told
    assert claim.missed == ("Missed" in claim.told) == ("agree" not in told)


def test_all_of_a_statement_is_told_in_sentences(show: Show) -> None:
    claim = only(show((of(28.0, 28.0, note="cold storage", group="wild"), (25.5, 31.2, 42.0))))
    assert claim.told.replace("\u00a0", " ") == (
        "Days it keeps. As picked, at 4 °C, wild. Published: 28 days. The program says: 31 days "
        f"(26–42). They agree. Trial: {PAWPAW.sources['mcgrath1994'].citation}. Cold storage."
    )
    assert claim.source == "McGrath & Karahadian 1994 · trial"


def test_days_of_all_kinds_have_one_axis_and_shares_go_from_0_to_100(show: Show) -> None:
    kept, ready, ripe = show(
        (of(3.0, 5.0, Asks.READY), (2.0, 4.0, 6.0)),
        (of(28.0, None), (20.0, 30.0, 60.0)),
        (of(None, 10.0, Asks.WONT_RIPEN), (5.0, 5.0, 5.0)),
    )
    assert kept.scale == ready.scale
    assert kept.scale.log
    assert kept.scale.least < 2.0
    assert kept.scale.most > 60.0
    assert (ripe.scale.least, ripe.scale.most, ripe.scale.log) == (0.0, 100.0, False)


def test_cases_go_from_cold_to_warm_and_ready_fruit_comes_last(show: Show) -> None:
    ways = [(20.0, False), (0.0, True), (-1.0, False), (4.0, False)]
    pairs = [
        (
            Statement(Asks.KEPT, 3.0, 5.0, 0.5, "trial", "mcgrath1994", start=Start(ready=ready),
                      stays=(Waits(celsius, 0.0, None),)),
            (3.0, 4.0, 5.0),
        )
        for celsius, ready in ways
    ]  # fmt: skip
    (group,) = show(*pairs)
    cases = [claim.case.replace("\u00a0", " ") for claim in group.claims]
    assert cases == [
        "As picked, at -1 °C", "As picked, at 4 °C", "As picked, at 20 °C", "Ready, at 0 °C",
    ]  # fmt: skip


def test_figures_are_called_and_measured_as_the_profile_has_them(show: Show) -> None:
    threshold = of(None, 6.0, Asks.FIGURE, figure=("chilling", "threshold"))
    unknown = of(30.0, 30.0, Asks.FIGURE, figure=("ripening", "nothing"))
    groups = show((threshold, (5.0, 7.0, 10.0)), (unknown, (math.nan,) * 3))
    assert [group.title for group in groups] == [
        "Figure: Injured below, °C", "Figure: ripening.nothing",
    ]  # fmt: skip
    assert groups[0].claims[0].answer == "7 °C (5–10)"
    assert groups[1].claims[0].missed
    assert groups[1].claims[0].answer == "nothing"


@pytest.mark.parametrize("key", one_in(6, sorted(shipped_profiles())))
def test_every_shipped_statement_is_shown_once(key: str, units: Units) -> None:
    crop, text, statements = shipped_profiles()[key], shipped_text(key), shipped_statements(key)
    found = said({key: WrittenCrop.of_text(text)}, [(key, one) for one in statements])
    known = known_figures(figure_groups(CropDocument(text), crop, units))
    groups = claim_groups(crop, statements, found, units, known)
    claims = [claim for group in groups for claim in group.claims]
    assert len(claims) == len(statements)
    assert len({group.title for group in groups}) == len(groups)
    for group in groups:
        for claim in group.claims:
            assert claim.source.strip()
            known_ends = [end for end in (claim.low, claim.high) if math.isfinite(end)]
            assert known_ends
            # Hours stand at the end of an axis of days.
            ends = [end for end in known_ends if end >= 0.5 or not group.scale.log]
            assert all(group.scale.least <= end <= group.scale.most for end in ends)
    missed = [not one.meets(low, high) for one, low, high in zip(
        statements, found.low.tolist(), found.high.tolist(), strict=True)]  # fmt: skip
    assert sum(claim.missed for claim in claims) == sum(missed)
