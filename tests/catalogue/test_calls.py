"""Every sentence of the code is one that a catalogue can have."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.catalogue.calls import calls, is_made_there
from tests.catalogue.template import ROOT

_TRANSLATES = ("tr", "tr_n", "tr_in")
_MODULES = sorted(
    path for path in (ROOT / "ripenroom").rglob("*.py") if "bootstrap" not in path.parts
)


def found_wrong(code: str) -> list[str]:
    """What is wrong with the calls in a module, each with its line."""
    tree = ast.parse(code)
    early = {id(node) for node in _at_import(tree)}
    wrong = []
    for call in calls(tree):
        if call.name in _TRANSLATES and id(call.node) in early:
            wrong.append(f"line {call.line}: {call.name} while the module is imported; use noted")
        if any(is_made_there(argument) for argument in call.arguments[:2]):
            wrong.append(f"line {call.line}: the text of {call.name} is put together there")
    return wrong


def _at_import(node: ast.AST) -> Iterator[ast.AST]:
    """All that is worked out while a module is imported: no bodies of functions."""
    for child in ast.iter_child_nodes(node):
        yield child
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            for outside in (child.args, *getattr(child, "decorator_list", ())):
                yield outside
                yield from _at_import(outside)
        else:
            yield from _at_import(child)


@pytest.mark.parametrize("module", _MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_texts_are_whole_and_translated_where_they_are_used(module: Path) -> None:
    assert found_wrong(module.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "code",
    [
        "TITLE = tr('Crates')",
        "class Words:\n    title = tr('Crates')",
        "def says(title=tr('Crates')): ...",
        "def says():\n    return tr(f'{n} crates')",
        "def says():\n    return tr('crates' + ' of ' + code)",
        "def says():\n    return tr('{n} crates'.format(n=n))",
        "def says():\n    return tr('crate' if one else f'{n} crates')",
        "def says():\n    return tr_n('1 crate', f'{n} crates', n)",
        "def says():\n    raise Refusal('count', f'{n} is too many.')",
    ],
)
def test_what_no_catalogue_can_have_is_found(code: str) -> None:
    assert len(found_wrong(code)) == 1


@pytest.mark.parametrize(
    "code",
    [
        "TITLE = noted('Crates')",
        "def says():\n    return tr('Crates').format(n=n)",
        "def says():\n    return tr(TITLE)",
        "def says():\n    return tr('one' if one else 'many')",
        "says = lambda: tr('Crates')",
    ],
)
def test_all_else_is_none(code: str) -> None:
    assert found_wrong(code) == []
