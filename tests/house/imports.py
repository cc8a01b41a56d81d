"""Circles in the imports, and doors from one room into another."""

from collections.abc import Iterable, Iterator
from typing import TypeAlias

from grimp import ImportGraph, build_graph

Circle: TypeAlias = tuple[str, ...]
"""Modules or folders each of which imports all others, itself or by way of them; sorted."""


def imports(package: str = "ripenroom") -> ImportGraph:
    """Who imports whom in ``package``, imports within functions and for types alone included."""
    return build_graph(package, cache_dir=None)


def circles_of_modules(graph: ImportGraph) -> list[Circle]:
    """Circles of imports from module to module, sorted."""
    return sorted(
        _circles(
            {module: graph.find_modules_directly_imported_by(module) for module in graph.modules}
        )
    )


def circles_of_siblings(graph: ImportGraph) -> list[Circle]:
    """Circles of what lies in one folder, where a folder imports whatever a module in it does.

    Every circle of modules of one folder is among them.
    """
    found: list[Circle] = []
    for folder in graph.modules:
        siblings = graph.find_children(folder)
        arrows: dict[str, set[str]] = {sibling: set() for sibling in siblings}
        for one in siblings:
            for module in _within(graph, one):
                for imported in graph.find_modules_directly_imported_by(module):
                    other = _child_of(folder, imported)
                    if other in siblings and other != one:
                        arrows[one].add(other)
        found.extend(_circles(arrows))
    return sorted(found)


def doors(graph: ImportGraph, room: str, into: str) -> list[str]:
    """Modules of ``into`` that modules of ``room`` import directly, sorted."""
    inside = _within(graph, into)
    return sorted(
        imported
        for imported in inside
        if graph.find_modules_that_directly_import(imported) & _within(graph, room)
    )


def _within(graph: ImportGraph, folder: str) -> set[str]:
    return {folder} | graph.find_descendants(folder)


def _child_of(folder: str, module: str) -> str:
    below = module.removeprefix(f"{folder}.")
    return module if below == module else f"{folder}.{below.split('.')[0]}"


def _circles(arrows: dict[str, set[str]]) -> Iterator[Circle]:
    """The strongly connected parts of more than one: all that reach each other both ways."""
    reached = {one: _reached_from(one, arrows) for one in arrows}
    seen: set[str] = set()
    for one in sorted(arrows):
        if one not in seen:
            circle = {other for other in reached[one] if one in reached.get(other, ())}
            seen |= circle
            if len(circle) > 1:
                yield tuple(sorted(circle))


def _reached_from(one: str, arrows: dict[str, set[str]]) -> set[str]:
    reached: set[str] = set()
    ahead: Iterable[str] = arrows[one]
    while ahead:
        reached |= set(ahead)
        ahead = {further for other in ahead for further in arrows.get(other, ())} - reached
    return reached
