"""Files that temperature loggers write: what is in them, and the readings.

:func:`load` takes in the lines of a file, :func:`read` makes sense of them. What was understood is
told together with the readings, and every choice can be corrected and the file read again.
"""

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Column,
    Corrections,
    DateOrder,
    Doubt,
    Fault,
    LeftOut,
    LoggerClock,
    Role,
    Series,
    Stamp,
    Understanding,
)
from ripenroom.exchange.sheet.progress import Progress, Stopped
from ripenroom.exchange.sheet.source import Source, load

__all__ = [
    "Column",
    "Corrections",
    "DateOrder",
    "Doubt",
    "Fault",
    "Home",
    "LeftOut",
    "LoggerClock",
    "Progress",
    "Role",
    "Series",
    "Source",
    "Stamp",
    "Stopped",
    "Understanding",
    "load",
    "read",
]
