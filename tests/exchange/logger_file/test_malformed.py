"""Files that no logger wrote: each is refused in words, or read into sound series."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.text_table.source import load
from ripenroom.records.refusal import Refusal
from tests.draws import draws
from tests.exchange.logger_file.malformed import HOME, try_one


@pytest.mark.parametrize(
    "hundreds", [0, 1, *(pytest.param(more, marks=pytest.mark.long) for more in range(2, 20))]
)
def test_a_malformed_file_never_crashes(tmp_path: Path, hundreds: int) -> None:
    found = [
        try_one(tmp_path / "file", seed) for seed in range(hundreds * 100, hundreds * 100 + 100)
    ]
    assert any(found), "some of them can be read"
    assert not all(found), "and some cannot"


@draws(300, suppress_health_check=list(HealthCheck))
@given(st.one_of(st.binary(max_size=400), st.text(max_size=400).map(str.encode)))
def test_any_bytes_are_refused_or_read(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "file"
    path.write_bytes(data)
    try:
        found = read(load(path), HOME)
    except Refusal:
        return
    assert found.series


_START = datetime(2026, 9, 13, 12, tzinfo=UTC)


@draws(150, suppress_health_check=list(HealthCheck))
@given(
    hundredths=st.lists(st.integers(-3000, 2700), min_size=4, max_size=40),
    step_min=st.integers(1, 300),
    separator=st.sampled_from([";", "\t", "|"]),
    stamp=st.sampled_from(
        ["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%SZ", "%d %b %Y %H:%M", "%d.%m.%Y %H:%M:%S"]
    ),
    comma=st.booleans(),
    encoding=st.sampled_from(["utf-8", "utf-16", "cp1252", "utf-8-sig"]),
    heading=st.booleans(),
)
def test_a_table_in_any_dialect_comes_back_or_is_asked_about(
    tmp_path: Path,
    hundredths: list[int],
    step_min: int,
    separator: str,
    stamp: str,
    comma: bool,
    encoding: str,
    heading: bool,
) -> None:
    times = [_START + n * timedelta(minutes=step_min) for n in range(len(hundredths))]
    lines = [f"when{separator}Probe °C"] if heading else []
    for at, value in zip(times, hundredths, strict=True):
        text = f"{value / 100:.2f}"
        cell = text.replace(".", ",") if comma else text
        lines.append(f"{at + timedelta(hours=0 if 'Z' in stamp else 1):{stamp}}{separator}{cell}")
    path = tmp_path / "file"
    path.write_bytes("\n".join(lines).encode(encoding))
    found = read(load(path), HOME)
    (series,) = found.series
    assert series.times_s.tolist() == [int(at.timestamp()) for at in times]
    assert [round(c * 100) for c in series.celsius.tolist()] == hundredths
