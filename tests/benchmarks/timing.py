"""Honest timing: a warm-up, several runs, the median, in time of the processor.

By the clock a figure would tell how busy the machine is.
"""

import statistics
import time
from collections.abc import Callable

RUNS = 9


def median_ms(job: Callable[[int], object], runs: int = RUNS) -> float:
    """Median milliseconds of the processor that ``job(n)`` takes, of ``runs`` after one warm-up.

    The run's number is handed over so that a job can change something each time.
    """
    job(0)
    taken = []
    for number in range(1, runs + 1):
        begin = time.process_time()
        job(number)
        taken.append(time.process_time() - begin)
    return statistics.median(taken) * 1000.0


def say(what: str, figure: str) -> None:
    """Print one result line."""
    print(f"{what:<64}{figure:>24}", flush=True)
