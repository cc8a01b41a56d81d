"""The spreads between sources and cultivars as they were last inferred, beside this module."""

import tomllib
from dataclasses import asdict
from pathlib import Path

from tests.fits.effects import Spreads

_FILE = Path(__file__).with_name("spreads.toml")
_HEADING = "# Written by python -m tests.fits --write: sds (log), see tests/fits/effects.py.\n"


def kept_spreads() -> Spreads:
    """Those of the last run that was written."""
    return Spreads(**tomllib.loads(_FILE.read_text(encoding="utf-8")))


def keep_spreads(spreads: Spreads) -> None:
    """Write them down for the next run."""
    lines = (f"{name} = {sd:.4f}\n" for name, sd in asdict(spreads).items())
    _FILE.write_text(_HEADING + "".join(lines), encoding="utf-8")
