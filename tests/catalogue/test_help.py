"""What a command says of itself is translated, for every command."""

import re
from collections.abc import Iterator

import pytest

from ripenroom import texts
from ripenroom.cli import command, main
from ripenroom.cli.command import COMMANDS
from tests.catalogue.pseudo import pseudo_texts
from tests.catalogue.untranslated import untranslated
from tests.draws import one_in

_ALLOWED = {
    # argparse's own, which its gettext translates where Python's texts are installed
    *("usage", "options", "positional", "arguments", "show", "this", "help", "message", "and"),
    *("exit", "program's", "program", "version", "number"),
    "ripenroom",
    # names of arguments, commands, files and units, which are typed as they are
    *("season", "file", "table", "target", "other", "place", "row", "market", "json"),
    *("utc", "european", "europe", "dublin", "quayside", "pawpaw"),  # examples of what is typed
    *COMMANDS,
    *("add", "pick", "import"),
}


@pytest.fixture(autouse=True)
def in_pseudo_language(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    texts.use(pseudo_texts())
    monkeypatch.setattr(command, "use_language", lambda code: None)
    yield
    texts.use_language("en")


def said(printed: str) -> str:
    """What is printed, without how the command is written: usage, options and what they take."""
    _, _, rest = printed.partition("\n\n")
    return re.sub(r"\{[^{}]*\}|--[\w-]+|\b[A-Z][A-Z_=,.]+\b", "", rest)


@pytest.mark.parametrize("name", one_in(4, ["", *COMMANDS]))
def test_help_is_translated(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([*filter(None, [name]), "--help"])
    printed = capsys.readouterr().out
    assert untranslated(said(printed), _ALLOWED) == set()
    assert "~" in said(printed)
