"""The page of pictures: all of them, in order, and nothing else that a browser would fetch."""

import re
from html.parser import HTMLParser
from pathlib import Path

from ripenroom.paths import resource
from ripenroom.window.theme import Look
from tests import gallery
from tests.gallery import Picture
from tests.screenshots import SHOWN_FIRST

SIZES = ((1366, 850), (1024, 700))
NAMES = ("move", "plan-crates", "today", "plan", "<odd>")
LOOKS = (Look.DARK, Look.HIGH_CONTRAST)


class Read(HTMLParser):
    """What a page shows and names."""

    def __init__(self, page: Path) -> None:
        super().__init__()
        self.tags = set[str]()
        self.pictures: list[tuple[str, str]] = []
        self.addresses: list[str] = []
        self.headings: list[str] = []
        self._heading = False
        self.feed(page.read_text("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self._heading = tag == "h2"
        named = {name: text or "" for name, text in attrs}
        self.addresses += [named[name] for name in ("href", "src") if name in named]
        if tag == "img":
            self.pictures.append((named["src"], named["alt"]))

    def handle_data(self, data: str) -> None:
        if self._heading:
            self.headings.append(data)
            self._heading = False


def pictures(folder: Path) -> list[Picture]:
    return [
        Picture(name, look, size, folder / f"{number}-{look.name}-{size[0]}.png")
        for look in LOOKS
        for size in SIZES
        for number, name in enumerate(NAMES)
    ]


def test_every_picture_is_shown_once_with_what_it_is(tmp_path: Path) -> None:
    taken = pictures(tmp_path)
    read = Read(gallery.write(tmp_path, taken))
    assert sorted(file for file, _ in read.pictures) == sorted(p.path.name for p in taken)
    says = dict(read.pictures)
    assert says["2-DARK-1024.png"] == "Today, dark, window of 1024 × 700"
    assert says["4-DARK-1024.png"].startswith("<odd>")


def test_pages_come_in_the_programs_order_and_sizes_side_by_side(tmp_path: Path) -> None:
    read = Read(gallery.write(tmp_path, pictures(tmp_path)))
    assert read.headings == ["Today", "Plan", "The plan: every crate", "<odd>", "Move"]
    shown = [file for file, _ in read.pictures if file.startswith("2-")]
    assert shown == [
        *("2-DARK-1024.png", "2-DARK-1366.png"),
        *("2-HIGH_CONTRAST-1024.png", "2-HIGH_CONTRAST-1366.png"),
    ]


def test_it_runs_nothing_and_fetches_nothing(tmp_path: Path) -> None:
    page = gallery.write(tmp_path, pictures(tmp_path))
    read = Read(page)
    assert not read.tags & {"script", "link", "iframe", "object", "form"}
    beside = {path.path.name for path in pictures(tmp_path)}
    assert {address for address in read.addresses if not address.startswith("#")} == beside
    assert not re.search(r"://|url\(|@import", page.read_text("utf-8"))


def test_readme_shows_the_pictures_that_are_kept() -> None:
    text = resource().parent.joinpath("README.md").read_text("utf-8")
    shown = re.findall(r'<img src="([^"]+)" width="\d+%" alt="[^"]{40,}">', text)
    assert shown == [f"resources/pictures/{name}.png" for name in SHOWN_FIRST]
    for file in shown:
        assert resource().parent.joinpath(file).is_file()
