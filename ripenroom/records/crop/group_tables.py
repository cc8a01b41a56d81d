"""Cultivar groups with figures of their own: their tables laid over those of the whole crop.

``[group."early season".rate]`` says what is different for that group, in the tables and figures of
the profile itself; a figure, or a list by temperature, stands in the place of the crop's, and all
that is not said is the crop's own.
"""

from collections.abc import Mapping
from typing import Final

from ripenroom.records.crop.section import Section, Table
from ripenroom.texts import tr

MOST_GROUPS: Final = 20
"""Groups with figures of their own; each is read as a whole profile."""

_OF_THE_CROP: Final = (
    "key",
    "name",
    "letter",
    "groups",
    "judged_by",
    "sources",
    "held_to",
    "left_out",
)
"""What a crop has once, whatever the group."""

_COUNTED: Final = ("mass", "per_crate", "package", "package_source", "buyers_eat_within")
"""What in ``fruit`` is the crop's alone: by crop fruit are counted, packed and sold."""


def group_tables(top: Section, whole: Table, named: tuple[str, ...]) -> Mapping[str, Table]:
    """The tables of every group that has figures of its own, each those of a whole profile.

    ``top`` is the profile, of which ``group`` is read, ``whole`` its tables, and ``named`` the
    groups that it says to have. Raises
    :class:`~ripenroom.records.crop.section.ProfileRefusal` for a group that is not among them, has
    nothing of its own, or says what only the crop can.
    """
    if "group" not in top:
        return {}
    groups = top.section("group")
    if len(groups.keys) > MOST_GROUPS:
        raise groups.refusal(
            "",
            tr("more than {most} groups with figures of their own").format(most=MOST_GROUPS),
        )
    base = {key: value for key, value in whole.items() if key != "group"}
    found: dict[str, Table] = {}
    for name in groups.keys:
        if name not in named:
            raise groups.refusal(name, tr("is not among the groups of this crop"))
        own = groups.table(name)
        if not own:
            raise groups.refusal(name, tr("says nothing: leave it out"))
        for key in own:
            if key in (*_OF_THE_CROP, "group"):
                raise groups.refusal(f"{name}.{key}", tr("a group has none of its own"))
        fruit = own.get("fruit")
        for key in _COUNTED:
            if isinstance(fruit, dict) and key in fruit:
                raise groups.refusal(f"{name}.fruit.{key}", tr("a group has none of its own"))
        found[name] = _laid_over(base, own)
    return found


def _laid_over(base: Table, own: Table) -> dict[str, object]:
    merged = dict(base)
    for key, value in own.items():
        below = merged.get(key)
        if isinstance(value, dict) and isinstance(below, dict) and "value" not in value:
            merged[key] = _laid_over(below, value)
        else:
            merged[key] = value
    return merged
