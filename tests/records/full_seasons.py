"""Seasons that are full before they hold very many records."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import pytest

from ripenroom.records.counts import MOST, Most


def limited(monkeypatch: pytest.MonkeyPatch, kind: type, most: int) -> None:
    """From here on a season holds so many records of a kind at most."""
    fewer: Mapping[type, Most] = MappingProxyType({**MOST, kind: replace(MOST[kind], season=most)})
    for module in ("counts", "file.action"):
        monkeypatch.setattr(f"ripenroom.records.{module}.MOST", fewer)
