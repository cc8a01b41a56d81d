"""Notices that follow from what a crop cannot do without, or cannot bear, where it stands."""

from collections.abc import Iterator, Mapping

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.gate import part_needs
from ripenroom.season.findings import Notice, NoticeKind
from ripenroom.season.kinds import CropKind, kind_of
from ripenroom.season.moments import to_hours
from ripenroom.season.moves import moves_by_batch
from ripenroom.season.projection import Projection, State
from ripenroom.season.rooms import schedules
from ripenroom.season.zones import zone_of


def of_gates(
    book: Book, crops: Mapping[str, CropProfile], projection: Projection
) -> Iterator[Notice]:
    """Batches that wait for their cold or trigger and, as it stands, never get it.

    ``done`` is the share that is met, ``days`` what is still needed at the quickest temperature
    ``at_c`` (C); ``ethylene_days`` of treatment, where they open all of the gate, instead.
    """
    shut = np.isinf(projection.gate_opens_h) & (projection.left > 0.0)
    for line in np.flatnonzero(shut & (projection.state == State.HOLDING)):
        batch_id = projection.batch_ids[int(line)]
        gate = kind_of(book.batches[batch_id], book, crops).profile_in(crops).gate
        assert gate is not None, "a batch whose gate is shut has a crop with a gate"
        quickest = min(gate.needs, key=lambda at: at.days.value)
        done, times = float(projection.gate_done[line]), float(projection.gate_times[line])
        values = {
            "left": float(projection.left[line]),
            "done": done,
            "days": (1.0 - done) * quickest.days.value * times,
            "at_c": quickest.temperature_c,
        }
        if gate.ethylene_days is not None:
            of_all = done / float(part_needs(gate.width.value if gate.width else 0.0)[-1])
            values["ethylene_days"] = (1.0 - of_all) * gate.ethylene_days.value * times
        yield Notice(NoticeKind.GATE, batch_id, values=values)


def of_heat(
    book: Book, crops: Mapping[str, CropProfile], projection: Projection
) -> Iterator[Notice]:
    """Places that get as warm as some crop there bears at most, one notice per place and crop.

    ``limit_c`` (C) is what the crop bears; ``stop_c`` comes with it where it gets so warm that
    ripening stops.
    """
    plans = schedules(book, zone_of(book.season))
    moves = moves_by_batch(book)
    there: dict[tuple[str, CropKind, float], list[int]] = {}
    sound = (projection.state == State.HOLDING) | (projection.state == State.READY)
    for line in np.flatnonzero(sound & (projection.left > 0.0)):
        batch_id = projection.batch_ids[int(line)]
        kind = kind_of(book.batches[batch_id], book, crops)
        ripening = kind.profile_in(crops).ripening
        if ripening is None or ripening.limit_c is None:
            continue
        # A pick's clock may be some minutes ahead; then its first place counts.
        first, *later = moves[batch_id]
        place_id = [first, *(m for m in later if to_hours(m.at) <= projection.at_h)][-1].place_id
        plan = plans[place_id]
        warmest_c = plan.set_point_at(projection.at_h) + plan.swing_k
        if warmest_c >= ripening.limit_c:
            there.setdefault((place_id, kind, warmest_c), []).append(int(line))
    for (place_id, kind, warmest_c), lines in there.items():
        ripening = kind.profile_in(crops).ripening
        assert ripening is not None
        assert ripening.limit_c is not None, "only crops with a limit were gathered"
        left = float(projection.left[lines].sum())
        values = {"left": left, "warmest_c": warmest_c, "limit_c": ripening.limit_c}
        if ripening.stop_c is not None and warmest_c >= ripening.stop_c:
            values["stop_c"] = ripening.stop_c
        yield Notice(NoticeKind.HEAT, place_id=place_id, crop=kind.crop, values=values)
