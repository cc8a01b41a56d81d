"""The calls in the code that name a text of the catalogue, found in its syntax tree.

Babel's own reader of Python takes what stands within the parentheses token by token, so that it
would join the two texts of ``tr("a" if one else "b")`` into one. Here both are found.
"""

import ast
from collections.abc import Iterator
from typing import NamedTuple

KEYWORDS: dict[str, tuple[int | tuple[int, str], ...] | None] = {
    "tr": None,
    "tr_n": (1, 2),
    "tr_in": ((1, "c"), 2),
    "noted": None,
    "noted_n": (1, 2),
    "Refusal": (2,),
    "Question": (2,),
}
"""Which arguments of a call are texts, as Babel writes it."""


class Call(NamedTuple):
    """One call: in which line, of what, and its arguments, as far as a text may be any of them."""

    line: int
    name: str
    arguments: tuple[ast.expr, ...]
    node: ast.Call


def calls(tree: ast.AST) -> Iterator[Call]:
    """All calls of :data:`KEYWORDS` in a module, in the order of the code."""
    found = [
        Call(node.lineno, node.func.id, tuple(node.args), node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        if node.func.id in KEYWORDS
    ]
    return iter(sorted(found, key=lambda call: (call.line, call.node.col_offset)))


def texts_of(argument: ast.expr) -> tuple[str, ...]:
    """The texts that an argument may be: one, both of a choice, or none that stands there."""
    if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
        return (argument.value,)
    if isinstance(argument, ast.IfExp):
        return (*texts_of(argument.body), *texts_of(argument.orelse))
    return ()


def is_made_there(argument: ast.expr) -> bool:
    """Whether a text is put together where it is to be translated: no catalogue has that."""
    if isinstance(argument, ast.IfExp):
        return is_made_there(argument.body) or is_made_there(argument.orelse)
    if isinstance(argument, ast.Call) and isinstance(argument.func, ast.Attribute):
        return argument.func.attr in ("format", "join", "replace")
    return isinstance(argument, ast.JoinedStr | ast.BinOp)
