"""Keys, texts, numbers and lists of a profile: what is wrong is named by its dotted key."""

import pytest

from tests.records.crop.conftest import Spoil


@pytest.mark.parametrize(
    ("good", "spoilt", "key", "reason"),
    [
        ('key = "quince"', 'key = "quince"\ncolour = 1', "colour", "unknown key"),
        ("probe_mm = 8", "probe_mm = 8\nprobe = 8", "firmness.probe", "unknown key"),
        ('name = "Quince"', "", "name", "missing"),
        ('name = "Quince"', 'name = "  "', "name", "needs to be some text, not '  '"),
        ('name = "Quince"', "name = 7", "name", "needs to be some text in quotes, not 7"),
        ('name = "Quince"', f'name = "{"q" * 3000}"', "name", "longer than 2000 characters"),
        ("seen = false", "seen = 1", "sources.other.seen", "needs to be true or false, not 1"),
        ("probe_mm = 8", "probe_mm = false", "firmness.probe_mm", "a number, not false"),
        ("probe_mm = 8", "probe_mm = '8'", "firmness.probe_mm", "a number, not '8'"),
        ("probe_mm = 8", "probe_mm = [8]", "firmness.probe_mm", "a number, not a list"),
        ("probe_mm = 8", "probe_mm = 1979-05-27", "firmness.probe_mm", "not 1979-05-27"),
        ("probe_mm = 8", "probe_mm = nan", "firmness.probe_mm", "a finite number"),
        ("probe_mm = 8", f"probe_mm = 0x{'F' * 9999}", "firmness.probe_mm", "a finite number"),
        ("probe_mm = 8", "probe_mm = 0", "firmness.probe_mm", "from 1 to 50, not 0"),
        ('["early", "late"]', '"early"', "groups", "a list of texts, not 'early'"),
        ('["early", "late"]', '["early", 2]', "groups[1]", "in quotes, not 2"),
        ('["early", "late"]', '["early", ""]', "groups[1]", "some text, not ''"),
        ('["early", "late"]', '["early", "early"]', "groups", "names one thing twice"),
        ("[chilling]", "[chill]", "chilling.threshold", "missing"),
        ("[wont_ripen]", "[wont]", "wont_ripen", "missing"),
        ("[[chilling.allowance]]\nat_c = 5", "[chilling.used]", "chilling.used", "unknown key"),
        ('key = "quince"', 'key = "quince"\nrate = 5\n[unused]', "", "not TOML"),
        ('key = "quince"', f"key{'.a' * 5000} = 1", "", "more than ten parts"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_refused_by_key_and_reason(
    spoil: Spoil, good: str, spoilt: str, key: str, reason: str
) -> None:
    refusal = spoil(good, spoilt)
    assert refusal.key == key
    assert reason in refusal.reason
