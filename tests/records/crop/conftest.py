"""The made-up quince profile, and how it is spoilt in one place."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import load_profile

QUINCE = Path(__file__).with_name("quince.toml")

Spoil = Callable[[str, str], ProfileRefusal]


@pytest.fixture
def spoil(tmp_path: Path) -> Spoil:
    """Replaces the one place where the text stands, and hands back how the result is refused."""

    def spoil(good: str, spoilt: str) -> ProfileRefusal:
        content = QUINCE.read_text("utf-8")
        assert content.count(good) == 1, "a spoilt profile differs in one place"
        path = tmp_path / "spoilt.toml"
        path.write_text(content.replace(good, spoilt), "utf-8")
        with pytest.raises(ProfileRefusal) as caught:
            load_profile(path)
        refusal = caught.value
        assert refusal.path == path
        assert refusal.field == refusal.key
        where = f"{path}: {refusal.key}: " if refusal.key else f"{path}: "
        assert refusal.message == where + refusal.reason
        return refusal

    return spoil
