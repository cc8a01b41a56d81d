"""Tables of the yardstick say what was counted."""

from tests.benchmarks.season.play import Tally
from tests.benchmarks.season.report import against_bound, differences, means


def tally(at_best: int, disappointed: int = 10, moved: int = 100) -> Tally:
    """A season in which so many were sold at their best."""
    return Tally(at_best, disappointed, 200, 30, moved, 2, 100_000.0)


TALLIES = {
    "ours": [tally(1_000), tally(1_200)],
    "theirs": [tally(900, 40, 300), tally(1_300, 20, 200)],
}


def test_means_are_of_all_seasons() -> None:
    lines = list(means(TALLIES))
    assert lines[2] == "| ours | 1,100 | 10 | 200 | 30 | 100 | 2 | 1,000 |"
    assert lines[3] == "| theirs | 1,100 | 30 | 200 | 30 | 250 | 2 | 1,000 |"


def test_differences_are_paired() -> None:
    (_, _, line) = differences("ours", TALLIES)
    assert line == (
        "| theirs | +0 (-80 to +80) | 1.00 | 1 of 2 | -20 (-28 to -12) | -150 (-190 to -110) |"
    )


def test_parts_of_the_bound_are_taken_season_by_season() -> None:
    lines = list(against_bound(TALLIES, [2_000, 2_000]))
    assert lines[0] == "| part of the oracle's 2,000 | mean | 80 % of seasons |"
    assert lines[2] == "| ours | 0.55 | 0.51 to 0.59 |"
