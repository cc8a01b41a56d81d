"""The lock writer's cutting of uv's answer into entries."""

from tests.lock import entries


def test_an_entry_keeps_its_hashes() -> None:
    numpy = "numpy==2.0 \\\n    --hash=sha256:aa \\\n    --hash=sha256:bb\n"
    pytest = "pytest==9.0 \\\n    --hash=sha256:cc\n"
    assert entries(numpy + pytest) == [numpy, pytest]


def test_a_comment_is_no_entry() -> None:
    assert entries("# a comment\n") == []
