"""One page of all pictures that ``tests.screenshots`` took, to look through: ``index.html``.

What is of one thing stands together: looks below each other, sizes side by side. The page holds no
script and fetches nothing but the pictures beside it.
"""

from collections.abc import Iterable
from html import escape
from pathlib import Path
from typing import Final, NamedTuple

from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.theme import Look

CAPTIONS: Final = {
    "after-market": "After a market day: what was sold and what came back",
    "another-copy": "Changes from another copy: what both sides changed",
    "bring-in-log": "Bring in a thermometer's file",
    "bring-in-table": "Bring in a table: right and wrong rows",
    "check": "Squeeze a batch",
    "crops-curves": "A crop's curves",
    "crops-published": "What is published of a crop, beside what the program says",
    "crops-sources": "A crop's sources",
    "decide": "Decide where a batch goes",
    "figure": "Change a figure of a crop",
    "pack": "Squeeze and pack for a market day",
    "picks-refused": "A pick that is refused, with the reason",
    "places-tried": "A set point that is tried",
    "plan-advice": "Advice on set points and on what would help",
    "plan-crates": "The plan: every crate",
    "queue": "The shelf queue",
    "queue-tried": "The shelf queue while a move is tried",
    "review-balance": "Review: where the fruit went",
    "review-forecasts": "Review: how often the ranges held",
    "today-before-market": "Today, on the day before a market",
    "today-ticked": "Today, with a line ticked",
    "welcome": "Before a season is open",
}
"""What a picture shows, where its name alone does not say so."""


class Picture(NamedTuple):
    """A picture that was taken: of what, in which look, how large, and where it is."""

    name: str
    look: Look
    size: tuple[int, int]
    path: Path


def write(folder: Path, pictures: Iterable[Picture]) -> Path:
    """Write the page into the folder with the pictures; its path."""
    by_name: dict[str, list[Picture]] = {}
    for picture in pictures:
        by_name.setdefault(picture.name, []).append(picture)
    names = sorted(by_name, key=_place)
    links = "\n".join(f'<li><a href="#{name}">{escape(caption(name))}</a></li>' for name in names)
    sections = "\n".join(_section(name, by_name[name]) for name in names)
    page = folder / "index.html"
    page.write_text(_PAGE.format(links=links, sections=sections), "utf-8")
    return page


def caption(name: str) -> str:
    """What the pictures of one name show."""
    return CAPTIONS.get(name) or name.replace("-", " ").capitalize()


def _place(name: str) -> tuple[bool, int, str]:
    """Pages in the program's order, each with what belongs to it, then dialogs by name."""
    page = name.partition("-")[0]
    known = page in PAGES
    return not known, list(PAGES).index(page) if known else 0, name


def _section(name: str, pictures: list[Picture]) -> str:
    rows = []
    for look in dict.fromkeys(picture.look for picture in pictures):
        of_look = sorted((p for p in pictures if p.look is look), key=lambda p: p.size)
        rows.append(f'<div class="row">{"".join(map(_figure, of_look))}</div>')
    title = escape(caption(name))
    return f'<section id="{name}">\n<h2>{title}</h2>\n' + "\n".join(rows) + "\n</section>"


def _figure(picture: Picture) -> str:
    width, height = picture.size
    what = f"{picture.look.value}, window of {width} × {height}"
    file, alt = escape(picture.path.name), escape(f"{caption(picture.name)}, {what}")
    return (
        f'<figure><a href="{file}"><img src="{file}" alt="{alt}" loading="lazy"></a>'
        f"<figcaption>{what.capitalize()}</figcaption></figure>"
    )


_PAGE = """\
<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>ripenroom, in pictures</title>
<style>
body {{ font: 16px/1.4 sans-serif; margin: 1em; color: #222; background: #e8e8e4; }}
nav ul {{ columns: 16em; }}
.row {{ display: flex; gap: 1em; align-items: flex-start; margin-bottom: 1em; overflow-x: auto; }}
figure {{ margin: 0; flex: 0 1 auto; min-width: 16em; }}
img {{ display: block; max-width: 100%; border: 1px solid #888; }}
figcaption {{ font-size: 0.85em; }}
</style>
<h1>ripenroom, in pictures</h1>
<nav><ul>
{links}
</ul></nav>
{sections}
</html>
"""
