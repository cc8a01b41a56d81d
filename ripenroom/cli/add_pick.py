"""``ripenroom add-pick``: write down a pick."""

import argparse
from pathlib import Path

from ripenroom.cli.answer import FINE, say_bad_use
from ripenroom.cli.arguments import add_wait_argument, changing, crop_key, named, parse_moment
from ripenroom.cli.output import after_writing
from ripenroom.records.entry import PickEntry, parse_feel_counts
from ripenroom.records.refusal import Question, Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.units import NEWTONS_PER


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument("--crop", required=True, help=tr("crop by key or name, such as pawpaw"))
    parser.add_argument("--place", required=True, help=tr("name of the place where it waits"))
    parser.add_argument("--at", metavar="TIME", help=tr("when it was picked; now if left out"))
    parser.add_argument("--cultivar", help=tr("name of the cultivar"))
    parser.add_argument("--row", help=tr("name of the row of trees"))
    parser.add_argument(
        "--feel",
        metavar="COUNTS",
        help=tr(
            'fruit by hand feel, hardest first: "3 9 6 2" (hard, slight give, gives, '
            "soft and, as a fifth, too soft); of crops judged by color by their "
            "colors, greenest first"
        ),
    )
    parser.add_argument("--readings", nargs="+", type=float, default=[], help=tr("gauge readings"))
    parser.add_argument("--unit", choices=list(NEWTONS_PER), help=tr("unit of the readings"))
    parser.add_argument("--probe-mm", type=float, help=tr("diameter of the gauge's probe"))
    parser.add_argument("--count", type=int, help=tr("fruit picked"))
    parser.add_argument("--weight-kg", type=float, help=tr("weight picked"))
    parser.add_argument("--pulp-c", type=float, help=tr("fruit temperature in °C"))
    parser.add_argument("--note", default="", help=tr("a note"))
    parser.add_argument("--together", action="store_true", help=tr("one batch, whatever the feels"))
    parser.add_argument("--yes", action="store_true", help=tr("save unlikely values as typed"))
    add_wait_argument(parser)


def run(options: argparse.Namespace) -> int:
    """Write the pick down and print the codes of its batches."""
    with changing(options) as season:
        try:
            batches = season.do(actions.picks.add, _entry(options, season))
        except Refusal as refusal:
            option = _OPTION_OF.get(refusal.field, refusal.field)
            return say_bad_use(f"{option}: {refusal.message} {_ways_on(refusal)}")
    codes = [batch.code for batch in batches]
    with after_writing(tr("Saved as {codes}").format(codes=tr(" and ").join(codes))):
        print("\n".join(codes))
    return FINE


_OPTION_OF = {
    "crop": "--crop",
    "place_id": "--place",
    "picked_at": "--at",
    "cultivar_id": "--cultivar",
    "row_id": "--row",
    "count": "--count",
    "weight_kg": "--weight-kg",
    "feel_counts": "--feel",
    "readings": "--readings",
    "reading_unit": "--unit",
    "probe_mm": "--probe-mm",
    "pulp_c": "--pulp-c",
    "note": "--note",
}
"""The option that a refused field was typed with."""

_TAKES_SUGGESTION = {"readings": "--unit", "pulp_c": "--pulp-c"}
"""The option that takes what a question suggests."""


def _ways_on(refusal: Refusal) -> str:
    if not isinstance(refusal, Question):
        return ""
    ways = []
    option = _TAKES_SUGGESTION.get(refusal.field)
    if option and refusal.suggestion is not None:
        meant = refusal.suggestion
        value = f"{meant:.1f}" if isinstance(meant, float) else meant
        ways.append(
            tr("with {option} {value} if that was meant").format(option=option, value=value)
        )
    if refusal.possible:
        ways.append(tr("with --yes to keep it as typed"))
    return tr("Repeat {ways}.").format(ways=tr(", or ").join(ways)) if ways else ""


def _entry(options: argparse.Namespace, season: Season) -> PickEntry:
    book = season.book
    crop = crop_key(options.crop, season.crops)
    cultivars = {k: c for k, c in book.cultivars.items() if c.crop == crop}
    at = parse_moment(options.at, season.zone, "--at") if options.at is not None else season.now()
    return PickEntry(
        crop=crop,
        place_id=named("--place", options.place, book.places).id,
        picked_at=at,
        cultivar_id=named("--cultivar", options.cultivar, cultivars).id
        if options.cultivar
        else None,
        row_id=named("--row", options.row, book.rows).id if options.row else None,
        count=options.count,
        weight_kg=options.weight_kg,
        feel_counts=parse_feel_counts(options.feel) if options.feel else None,
        readings=tuple(options.readings),
        reading_unit=options.unit,
        probe_mm=options.probe_mm,
        pulp_c=options.pulp_c,
        note=options.note,
        split_by_feel=not options.together,
        answered=frozenset({"readings", "probe_mm", "pulp_c"}) if options.yes else frozenset(),
    )
