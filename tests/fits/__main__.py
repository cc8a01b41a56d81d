"""Infers the figures of the crop library from all that is published, and tells how far off it is.

    python -m tests.fits              every crop; prints what would move, writes nothing
    python -m tests.fits --write      the same, and puts it into resources/crops and spreads.toml
    python -m tests.fits pawpaw fig   these crops only, with the spreads that are written

A statement is a line in ``resources/crops/statements/CROP.csv``. Add one, run this, look at what
moved. The priors are in :mod:`tests.fits.priors`, the weights of kinds of sources in
:mod:`tests.fits.crop_model`; what effects statements have besides in :mod:`tests.fits.effects`.
"""

import argparse
import sys
from collections.abc import Iterator

from ripenroom.paths import resource
from ripenroom.records.crop.document import dotted
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.section import INFERRED
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.records.crop.statement_rows import StatementError
from tests.fits.effects import Fit, all_fitted, fitted_from_both
from tests.fits.learned import model_of
from tests.fits.left_out import Missed, left_out, summary
from tests.fits.priors import prior_of
from tests.fits.spreads import keep_spreads, kept_spreads
from tests.fits.table import furthest, table
from tests.fits.written import figures_of, write


def main(arguments: list[str]) -> int:
    """Run the command; 2 for a crop of which nothing is published."""
    parser = argparse.ArgumentParser(prog="python -m tests.fits")
    parser.add_argument("crop", nargs="*")
    parser.add_argument("--write", action="store_true")
    wanted = parser.parse_args(arguments)
    try:
        known = {key: shipped_statements(key) for key in shipped_profiles()}
    except StatementError as refusal:
        print(refusal, file=sys.stderr)
        return 1
    unknown = [crop for crop in wanted.crop if not known.get(crop)]
    if unknown:
        print(f"nothing is published of {', '.join(unknown)}", file=sys.stderr)
        return 2
    crops = wanted.crop or [crop for crop, statements in known.items() if statements]
    spreads = kept_spreads()
    models = [model_of(crop, shipped_text(crop), known[crop], spreads) for crop in crops]
    if wanted.crop:
        fits = [fitted_from_both(model, spreads) for model in models]
    else:
        spreads, fits = all_fitted(models)
    print(spreads)
    missed: dict[str, list[Missed]] = {}
    for fit in fits:
        print(fit.model.key, flush=True)
        for line in without_statements(fit):
            print(f"  {line}")
        for line in moved(fit):
            print(f"  {line}")
        missed[fit.model.key] = list(left_out(fit))
        if wanted.write:
            path = resource("crops") / f"{fit.model.key}.toml"
            write(fit, summary(missed[fit.model.key]), path)
    print(table(missed))
    print(furthest(missed))
    if wanted.write and not wanted.crop:
        keep_spreads(spreads)
    return 0


def moved(fit: Fit) -> Iterator[str]:
    """Every inferred figure beside the one that is written."""
    for path, (low, value, high) in figures_of(fit).items():
        old = fit.model.document.table(path)
        was = f"{old['value']} ({old['low']} to {old['high']}) {old['unit']}"
        yield f"{dotted(path)}: {was} -> {value:g} ({low:g} to {high:g})"


def without_statements(fit: Fit) -> Iterator[str]:
    """Figures that are marked as inferred though statements tell hardly anything of them."""
    document, told = fit.model.document, set(fit.model.prior.paths)
    for path in prior_of(document).paths:
        if path not in told and document.table(path)["source"] == INFERRED:
            yield f"{dotted(path)}: set it by hand, with a note; statements tell too little of it"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
