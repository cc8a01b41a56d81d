"""Files that temperature loggers write: what is in them, and the readings.

:func:`load` takes in the lines of a file, :func:`read` makes sense of them. What was understood is
told together with the readings, and every choice can be corrected and the file read again.
"""

from ripenroom.exchange.logger_file.reading import read
from ripenroom.exchange.logger_file.times import Home
from ripenroom.exchange.logger_file.understanding import (
    Corrections,
    Fault,
    LeftOut,
    LoggerClock,
    LoggerColumn,
    ReadDoubt,
    Role,
    Series,
    Stamp,
    Understanding,
)
from ripenroom.exchange.text_table.progress import ReadProgress, Stopped
from ripenroom.exchange.text_table.source import TableSource, load
from ripenroom.exchange.text_table.stamps import DateOrder

__all__ = [
    "Corrections",
    "DateOrder",
    "Fault",
    "Home",
    "LeftOut",
    "LoggerClock",
    "LoggerColumn",
    "ReadDoubt",
    "ReadProgress",
    "Role",
    "Series",
    "Stamp",
    "Stopped",
    "TableSource",
    "Understanding",
    "load",
    "read",
]
