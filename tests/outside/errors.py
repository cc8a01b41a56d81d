"""How far off the crops are: a table of every profile's errors against published statements.

``python -m tests.outside.errors`` prints it as markdown, for DEVELOPERS.md.
"""

import math
import pkgutil
import statistics
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module

import tests.outside
from ripenroom.records.crop.library import shipped_profiles
from tests.outside.statements import Role, Statement


@dataclass(frozen=True, slots=True)
class Errors:
    """Of one crop: how many statements set it, and the error (percent) of each that did not."""

    fitted: int
    checks: tuple[tuple[Statement, float], ...]

    @property
    def worst(self) -> tuple[Statement, float]:
        """The statement that is missed by most, and its error (percent)."""
        return max(self.checks, key=lambda check: check[1])

    @property
    def worst_pct(self) -> int | float:
        """The worst error as a profile tells it: rounded up to a whole percent."""
        error_pct = self.worst[1]
        # The last digits of a float are no further percent.
        return math.ceil(error_pct - 1e-6) if math.isfinite(error_pct) else error_pct

    @property
    def median_pct(self) -> float:
        """The middle error (percent) of the statements that did not set the profile."""
        return statistics.median(error_pct for _, error_pct in self.checks)


def all_statements() -> Iterator[Statement]:
    """The statements of every module of outside tests that has some."""
    for module in pkgutil.iter_modules(tests.outside.__path__):
        if module.name.startswith("test_"):
            loaded = import_module(f"{tests.outside.__name__}.{module.name}")
            yield from getattr(loaded, "STATEMENTS", ())


def errors_by_crop() -> dict[str, Errors]:
    """The errors of every crop that has statements, by its key; each projects all its cases."""
    of_crop: dict[str, list[Statement]] = {}
    for statement in all_statements():
        of_crop.setdefault(statement.crop, []).append(statement)
    return {
        crop: Errors(
            fitted=sum(statement.role is Role.FIT for statement in of_crop[crop]),
            checks=tuple(
                (statement, statement.error_pct())
                for statement in of_crop[crop]
                if statement.role is Role.CHECK
            ),
        )
        for crop in sorted(of_crop)
    }


def table(errors: dict[str, Errors]) -> str:
    """The errors as a markdown table, one crop a line."""
    lines = [
        "| crop | judged by | FIT | CHECK | worst, % | median, % | the worst is |",
        "| --- | --- | ---: | ---: | ---: | ---: | --- |",
    ]
    for crop, found in errors.items():
        worst = found.worst[0]
        what = f"{worst.what.removeprefix(f'{crop}, ')} ({worst.source})" if found.worst_pct else ""
        cells = [
            crop,
            shipped_profiles()[crop].judged_by,
            str(found.fitted),
            str(len(found.checks)),
            f"{found.worst_pct:g}",
            f"{found.median_pct:.0f}",
            what.replace("|", "/"),
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table(errors_by_crop()))
