"""What was left out of a logger's file, in words."""

from ripenroom.exchange.logger_file.understanding import Fault, LeftOut
from ripenroom.texts import tr, tr_n
from ripenroom.wording.formats import Formats


def _fault_words(fault: Fault) -> str:
    return {
        Fault.NOT_A_ROW: tr("Lines without a reading"),
        Fault.NO_TIME: tr("Lines whose time cannot be read"),
        Fault.NO_VALUE: tr("Empty temperatures"),
        Fault.SENSOR_FAULT: tr("Sensor errors, or impossible temperatures"),
        Fault.SAME_TIME: tr("Several readings of one time (averaged)"),
        Fault.SKIPPED_HOUR: tr(
            "In the hour that clocks skip in spring (if the logger’s clock does not, say so below)"
        ),
    }[fault]


def left_out_words(left_out: LeftOut, words: Formats) -> str:
    """How many of what were left out, and in which lines."""
    shown = ", ".join(str(line) for line in left_out.lines)
    more = " …" if left_out.count > len(left_out.lines) else ""
    text = tr_n("{what}: {count} (line {lines})", "{what}: {count} (lines {lines})", left_out.count)
    return text.format(
        count=words.number(left_out.count), what=_fault_words(left_out.fault), lines=shown + more
    )
