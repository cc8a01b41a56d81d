"""One number that a source speaks of, with the program's 80 % range of it."""

from typing import Any

from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.statement import Asks, Start, Statement, Waits
from ripenroom.season.published import WrittenCrop, said
from tests.outside.crate import Days, Stay


def asked(crop: str, asks: Asks, start: Start, *stays: Stay, **more: Any) -> Days:
    """What the program says of fruit that starts and stays so, the last stay being for good.

    Days count from the beginning of the last stay; ``more`` are further facts of the statement.
    """
    waits = [Waits(celsius, 0.0, days) for celsius, days in stays]
    waits[-1] = Waits(stays[-1][0], 0.0, None)
    # Its interval takes no part in what the program says.
    statement = Statement(
        asks=asks,
        low=None,
        high=None,
        rounding=0.0,
        kind="trial",
        source="",
        start=start,
        stays=tuple(waits),
        **more,
    )
    found = said({crop: WrittenCrop.of_text(shipped_text(crop))}, [(crop, statement)])
    return Days(float(found.low[0]), float(found.mid[0]), float(found.high[0]))
