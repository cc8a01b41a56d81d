"""A whole profile in mixed units, files that are none, and random damage."""

import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ripenroom.records.crop.profile import CropProfile, Figure
from ripenroom.records.crop.section import ESTIMATE, ProfileRefusal
from ripenroom.records.crop.toml_profile import (
    LARGEST_FILE_BYTES,
    load_profile,
    load_profile_text,
)
from ripenroom.units import activation_kj_mol_from_q10
from tests.draws import draws
from tests.records.crop.conftest import QUINCE, Spoil
from tests.records.crop.made import COLOURED, HELD, WINTER, refusal_of, winter_but

ACTIVATION = (
    'activation = { value = 90, low = 70, high = 110, unit = "kJ/mol", source = "someone2001" }'
)
Q10 = (
    "q10 = { value = 3, low = 2, high = 4, from_c = 0, to_c = 20, "
    'unit = "per 10 C", source = "other" }'
)


@pytest.fixture
def quince() -> CropProfile:
    return load_profile(QUINCE)


def load_bytes(folder: Path, content: bytes) -> CropProfile:
    path = folder / "profile.toml"
    path.write_bytes(content)
    return load_profile(path)


def test_figures_come_in_the_units_of_their_attributes(quince: CropProfile) -> None:
    assert quince.firmness.highest_n.value == pytest.approx(9 * 9.80665, rel=1e-12)
    assert quince.firmness.highest_n.high == pytest.approx(98.0665, rel=1e-12)
    assert quince.firmness.at_maturity_n.low == pytest.approx(17 * 4.4482216152605, rel=1e-12)
    assert quince.firmness.ready_n.value == 14
    assert quince.rate.heat_midpoint_c is not None
    assert quince.rate.heat_midpoint_c.value == pytest.approx(30, abs=1e-12)
    assert quince.rate.heat_midpoint_c.high == pytest.approx(32, abs=1e-12)
    assert quince.fruit_mass_g.value == pytest.approx(226.796185, rel=1e-12)
    assert quince.chilling is not None
    assert [entry.temperature_c for entry in quince.chilling.allowance] == [0, 5]
    assert [entry.days.value for entry in quince.storage.life] == [84, 40]


def test_every_mark_lands_in_its_own_attribute(quince: CropProfile) -> None:
    feel = quince.feel
    assert feel.slight_give_n.value == 45
    assert (feel.gives_n.value, feel.soft_n.value, feel.too_soft_n.value) == (27, 18, 6)
    assert (quince.wont_ripen.half_n.value, quince.wont_ripen.width_n.value) == (100, 3)
    assert (quince.fruit_spread_age.value, feel.judgement_age.value) == (0.6, 0.4)
    assert quince.firmness.reading_error_n.value == 4
    assert (quince.storage.best_low_c, quince.storage.best_high_c) == (-1, 0)
    assert quince.ripe_life is not None
    assert (quince.ripe_life.days.value, quince.ripe_life.q10.value) == (2.5, 2)
    assert quince.rate.heat_kj_mol is not None
    assert (quince.rate.per_day.value, quince.rate.heat_kj_mol.value) == (0.75, 220)


def test_texts_and_sources_are_kept(quince: CropProfile) -> None:
    assert (quince.key, quince.name, quince.letter) == ("quince", "Quince", "Q")
    assert quince.groups == ("early", "late")
    assert quince.cautions == ("Is eaten cooked.",)
    assert quince.sources["someone2001"].citation == "Someone 2001, p. 5"
    assert quince.sources["someone2001"].seen
    assert not quince.sources["other"].seen
    assert quince.firmness.lowest_n.source == ESTIMATE
    assert quince.firmness.lowest_n.note == "Softest seen."
    assert quince.firmness.ready_n.source != ESTIMATE


def test_optional_parts_may_be_absent(tmp_path: Path) -> None:
    blocks = QUINCE.read_text("utf-8").split("\n[")
    optional = ("ripe_life]", "chilling]", "[chilling.allowance]")
    content = "\n[".join(block for block in blocks if not block.startswith(optional))
    optional_lines = ("heat_", "cautions")
    lines = (line for line in content.splitlines() if not line.startswith(optional_lines))
    profile = load_bytes(tmp_path, "\n".join(lines).encode())
    assert profile.cautions == ()
    assert profile.ripe_life is None
    assert profile.chilling is None
    assert profile.rate.heat_midpoint_c is None
    assert profile.rate.heat_kj_mol is None


def test_a_q10_becomes_the_energy_through_its_two_temperatures(tmp_path: Path) -> None:
    content = QUINCE.read_text("utf-8").replace(ACTIVATION, Q10)
    energy = load_bytes(tmp_path, content.encode()).rate.activation_kj_mol
    assert energy is not None
    assert energy.value == activation_kj_mol_from_q10(3, 0, 20)
    assert energy.low == activation_kj_mol_from_q10(2, 0, 20)
    assert energy.high == activation_kj_mol_from_q10(4, 0, 20)
    assert energy.source == "other"


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ('letter = "Q"', 'letter = "q"', "letter", "one capital letter"),
        ('letter = "Q"', 'letter = "QU"', "letter", "one capital letter"),
        ('letter = "Q"', 'letter = "Ä"', "letter", "one capital letter"),
        ('key = "quince"', 'key = "Quince pear"', "key", "lower-case letters"),
        ("[sources.other]", "[sources.estimate]", "sources.estimate", "kept for"),
        ("[sources.other]", "[sources.other]\npage = 5", "sources.other.page", "unknown key"),
        (ACTIVATION, "", "rate.activation", "missing"),
        (ACTIVATION, f"{ACTIVATION}\n{Q10}", "rate.q10", "one of the two"),
        (ACTIVATION, Q10.replace("from_c = 0", "from_c = 20"), "rate.q10.to_c", "warmer"),
        (ACTIVATION, Q10.replace("from_c = 0, ", ""), "rate.q10.from_c", "missing"),
        ("heat_energy = ", "warmth = ", "rate.heat_energy", "go together"),
        ("heat_midpoint = ", "warmth = ", "rate.heat_midpoint", "go together"),
        ("[firmness]", "[firmness", "", "not TOML"),
        ('key = "quince"', 'key = "quince"\nkey = "quince"', "", "not TOML"),
        ('["early", "late"]', "[" * 5000, "", "nested too deeply"),
        ("probe_mm = 8", f"probe_mm = {'8' * 9999}", "", "not TOML"),
    ],
)
def test_a_wrong_profile_is_refused_by_key_and_reason(
    spoil: Spoil, good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = spoil(good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


LATER_NEEDS_LESS = winter_but(
    'name = "cold"',
    'name = "cold"\n'
    'per_age = { value = 0.4, low = 0.2, high = 0.8, unit = "times per age", source = "made" }',
)
BY_AND_BY = winter_but(
    'name = "cold"',
    'name = "cold"\nwidth = { value = 0.4, low = 0.2, high = 0.8, unit = "of the need", '
    'source = "made" }',
)


def test_a_gate_is_read() -> None:
    gate = load_profile_text(WINTER, Path("made")).gate
    assert gate is not None
    assert (gate.name, gate.none_above_c, gate.meanwhile.value) == ("cold", 15.0, 0.0)
    assert [(at.temperature_c, at.days.value) for at in gate.needs] == [(0.0, 30.0), (10.0, 10.0)]
    assert gate.ethylene_days is not None
    assert gate.ethylene_days.high == 3.0
    assert gate.per_age is None
    assert load_profile_text(LATER_NEEDS_LESS, Path("made")).gate == replace(
        gate, per_age=Figure(0.4, 0.2, 0.8, "made")
    )
    assert load_profile_text(BY_AND_BY, Path("made")).gate == replace(
        gate, width=Figure(0.4, 0.2, 0.8, "made")
    )


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ('name = "cold"', "", "gate.name", "missing"),
        ("none_above_c = 15", "", "gate.none_above_c", "missing"),
        ("none_above_c = 15", "none_above_c = 9", "gate.none_above_c", "above the warmest"),
        ("none_above_c = 15", "none_above_c = 150", "gate.none_above_c", "from -10 to 50"),
        ('unit = "of full speed"', 'unit = "%"', "gate.meanwhile.unit", "of full speed"),
        ("value = 0, low = 0, high = 0", "value = 1.2, low = 0, high = 2", "gate.meanwhile.value",
         "1.2 of full speed is not between 0 and 1"),
        ("[[gate.needs]]\nat_c = 10", "[[gate.needs]]\nat_c = 0", "gate.needs[1].at_c", "go up"),
        ("value = 30, low = 24", "value = 30, low = 34", "gate.needs[0].days.low", "above"),
        ("ethylene_days = { value = 2", "ethylene_days = { days = 2",
         "gate.ethylene_days.value", "missing"),
        ("ethylene_days", "heat_days", "gate.heat_days", "unknown key"),
    ],
)  # fmt: skip
def test_a_wrong_gate_is_refused_by_key_and_reason(
    good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = refusal_of(WINTER, good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ("value = 0.4, low = 0.2, high = 0.8", "value = 0.4, low = 0.2, high = 1.8",
         "gate.per_age.high", "not between 0.01 and 1 times per age"),
        ('"times per age"', '"of full speed"', "gate.per_age.unit", '"times per age"'),
    ],
)  # fmt: skip
def test_what_a_riper_pick_saves_is_checked(good: str, spoilt: str, key: str, reason: str) -> None:
    refusal = refusal_of(LATER_NEEDS_LESS, good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


def test_where_nothing_tells_how_ripe_a_pick_is_it_saves_nothing() -> None:
    gate = LATER_NEEDS_LESS.partition("[gate]")[2].partition("[fruit]")[0]
    text = HELD.replace("[storage]", f"[gate]{gate}[storage]", 1)
    with pytest.raises(ProfileRefusal) as caught:
        load_profile_text(text, Path("made"))
    assert caught.value.key == "gate.per_age"


def test_a_gate_without_needs_is_refused() -> None:
    first, _, rest = WINTER.partition("[[gate.needs]]")
    with pytest.raises(ProfileRefusal) as caught:
        load_profile_text(
            first + "needs = []\n[fruit]" + rest.partition("[fruit]")[2], Path("made")
        )
    assert caught.value.key == "gate.needs"


def test_a_crop_judged_by_colour_is_read() -> None:
    profile = load_profile_text(COLOURED, Path("made"))
    assert profile.judged_by == "colour"
    assert profile.feel.names == ("green", "turning", "half", "full", "dark")
    assert profile.firmness.ready_n.value == 20.0
    assert profile.rate.activation_kj_mol is None
    speeds = profile.rate.by_temperature
    assert [(at.temperature_c, at.per_day.value) for at in speeds] == [(10.0, 0.1), (20.0, 0.5)]
    assert profile.rate.reference_c == 20.0
    assert profile.rate.per_day.value == pytest.approx(0.5)


def test_the_speed_at_a_reference_between_is_read_off_the_line() -> None:
    text = COLOURED.replace("reference_c = 20\n[[rate", "reference_c = 15\n[[rate")
    per_day = load_profile_text(text, Path("made")).rate.per_day
    assert per_day.value == pytest.approx((0.1 * 0.5) ** 0.5)
    assert per_day.low == pytest.approx((0.08 * 0.4) ** 0.5)
    assert per_day.high == pytest.approx((0.12 * 0.6) ** 0.5)


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ('high = 9, unit = "% green"', 'high = 9, unit = "N"', "firmness.reading_error.unit",
         "% green"),
        ("highest = { value = 100, low = 100, high = 100",
         "highest = { value = 100, low = 100, high = 101",
         "firmness.highest.high", "not between 0 and 100"),
        (', "dark"]', "]", "feel.names", "needs 5 names"),
        ('"half", "full"', '"half", "half"', "feel.names", "twice"),
        ("reference_c = 20\n[[rate", "reference_c = 21\n[[rate",
         "rate.reference_c", "within the temperatures"),
        ("[[rate.by_temperature]]\nat_c = 20", "[[rate.by_temperature]]\nat_c = 9",
         "rate.by_temperature[1].at_c", "go up"),
        ("[[rate.by_temperature]]\nat_c = 10", "[[rate.by_temperature]]\nat_c = 20",
         "rate.by_temperature[1].at_c", "go up"),
        ("[[rate.by_temperature]]\nat_c = 10", "activation = 3\n[[rate.by_temperature]]\nat_c = 10",
         "rate.activation", "unknown key"),
        ("value = 0.1, low = 0.08", "value = 0, low = 0",
         "rate.by_temperature[0].speed.value", "not between"),
    ],
)  # fmt: skip
def test_a_wrong_colour_crop_is_refused_by_key_and_reason(
    good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = refusal_of(COLOURED, good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason


@pytest.mark.parametrize("life", ["life = []", "life = 60", "life = [60]"])
def test_a_life_without_its_temperatures_is_refused(tmp_path: Path, life: str) -> None:
    content = QUINCE.read_text("utf-8").partition("[[storage.life]]")[0] + life
    with pytest.raises(ProfileRefusal) as caught:
        load_bytes(tmp_path, content.encode())
    assert caught.value.key in ("storage.life", "storage.life[0]")


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    assert load_bytes(tmp_path, b"\xef\xbb\xbf" + QUINCE.read_bytes()).key == "quince"


def test_a_file_that_is_not_utf8_says_where(tmp_path: Path) -> None:
    with pytest.raises(ProfileRefusal, match=r"not UTF-8 text \(byte 9\)"):
        load_bytes(tmp_path, b'name = "\xe4pfel"')


def test_a_file_beyond_all_measure_is_refused_unread(tmp_path: Path) -> None:
    with pytest.raises(ProfileRefusal, match="100 kB"):
        load_bytes(tmp_path, b"#" * (LARGEST_FILE_BYTES + 1))


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path / "nothing.toml", tmp_path):
        with pytest.raises(ProfileRefusal) as caught:
            load_profile(path)
        assert caught.value.path == path
        assert caught.value.reason


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read every file")
def test_an_unreadable_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_bytes(QUINCE.read_bytes())
    path.chmod(0)
    with pytest.raises(ProfileRefusal, match="Permission denied"):
        load_profile(path)


def loads_or_refuses(path: Path) -> None:
    """Any other exception than a refusal fails the test that calls this."""
    try:
        profile = load_profile(path)
    except ProfileRefusal as refusal:
        message, reason = refusal.message, refusal.reason
    else:
        assert profile.firmness.lowest_n.value < profile.firmness.highest_n.value
        return
    assert reason
    assert message.startswith(f"{path}: ")


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz") / "profile.toml"


@draws(200)
@given(content=st.binary(max_size=400))
@example(content=b"")
def test_random_bytes_are_refused_and_never_crash(scratch: Path, content: bytes) -> None:
    scratch.write_bytes(content)
    loads_or_refuses(scratch)


@draws(200)
@given(at=st.integers(0, 4000), content=st.binary(min_size=1, max_size=4))
def test_a_few_damaged_bytes_load_or_are_refused(scratch: Path, at: int, content: bytes) -> None:
    sound = QUINCE.read_bytes()
    scratch.write_bytes(sound[:at] + content + sound[at + len(content) :])
    loads_or_refuses(scratch)


VALUES = st.one_of(
    st.sampled_from(["true", "nan", "-inf", "[]", "{}", "''", "1e999", "07:32:00", "[[1], {a=2}]"]),
    st.integers().map(str),
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.text(alphabet="abc{}%\\n", max_size=8).map(lambda text: f"'{text}'"),
)


@draws(300)
@given(data=st.data())
def test_random_changes_load_or_are_refused(scratch: Path, data: st.DataObject) -> None:
    """Cut, doubled or swapped lines, and values of any kind in the place of others."""
    lines = QUINCE.read_text("utf-8").splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        index = data.draw(st.integers(1, len(lines) - 1))
        line = lines[index]
        match data.draw(st.sampled_from(["cut", "double", "swap", "value", "field"])):
            case "cut":
                lines[index] = ""
            case "double":
                lines[index] = f"{line}\n{line}"
            case "swap":
                other = data.draw(st.integers(1, len(lines) - 1))
                lines[index], lines[other] = lines[other], line
            case "value":
                lines[index] = f"{line.partition('=')[0]} = {data.draw(VALUES)}"
            case _:
                fields = line.split(",")
                which = data.draw(st.integers(0, len(fields) - 1))
                before = fields[which].rpartition("=")[0]
                fields[which] = f"{before}= {data.draw(VALUES)}"
                lines[index] = ",".join(fields)
    scratch.write_text("\n".join(lines), encoding="utf-8")
    loads_or_refuses(scratch)
