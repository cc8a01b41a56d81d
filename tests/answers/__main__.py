"""``python -m tests.answers save FILE`` and ``compare FILE``: is every answer the same to the bit?

Asks the practice season, twenty random ones and all shipped crops for everything that is worked
out. For changes that may change no digit: save before, compare after. Keep the file outside of the
repository; another machine, numpy or processor may give other last digits.
"""

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec
import numpy as np

from tests.answers.asked import of_crops, of_season
from tests.answers.flat import Compared, Flat, compared, flat
from tests.answers.seasons import PRACTICE, RANDOM_SEASONS, seasons


def main(arguments: Sequence[str]) -> int:
    """Save or compare; 1 where anything differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.answers", description=__doc__)
    parser.add_argument("what", choices=("save", "compare"))
    parser.add_argument("file", type=Path)
    parser.add_argument("--seasons", type=int, default=RANDOM_SEASONS, help="random ones to ask")
    options = parser.parse_args(arguments)
    if options.what == "save":
        save(options.file, options.seasons)
        return 0
    return compare(options.file, options.seasons)


def answers(number: int) -> Iterator[tuple[str, Flat]]:
    """Every answer by the name of its season and question."""
    for name, answer in of_crops():
        yield name, flat(answer)
    for season, book in seasons(number):
        begin = time.process_time()
        for question, answer in of_season(book, advice=season == PRACTICE):
            yield f"{season}: {question}", flat(answer)
        took_s = time.process_time() - begin
        print(f"{season}: {took_s:.0f} s of a processor", file=sys.stderr, flush=True)


def save(path: Path, number: int) -> None:
    """Write every answer to a file."""
    saved = {name: (one.numbers.tobytes(), one.texts) for name, one in answers(number)}
    path.write_bytes(msgspec.msgpack.encode(saved))
    numbers = sum(len(numbers) // 8 for numbers, _ in saved.values())
    print(f"Saved {numbers:,} numbers and {sum(len(t) for _, t in saved.values()):,} texts.")


def compare(path: Path, number: int) -> int:
    """Print where answers differ from those in a file."""
    saved = msgspec.msgpack.decode(path.read_bytes(), type=dict[str, tuple[bytes, tuple[str, ...]]])
    total = Counter[str]()
    for name, now in answers(number):
        numbers, texts = saved.pop(name, (b"", ()))
        found = compared(Flat(np.frombuffer(numbers), texts), now)
        total.update(found._asdict())
        if found.different_numbers or found.different_texts:
            print(f"{name}: {_counted(found)}", flush=True)
    if number == RANDOM_SEASONS and saved:
        print(f"No longer answered: {', '.join(saved)}.")
        total["different_texts"] += len(saved)
    print(f"In all: {_counted(Compared(**total))}")
    return 1 if total["different_numbers"] or total["different_texts"] else 0


def _counted(found: Compared) -> str:
    return (
        f"{found.different_numbers:,} of {found.numbers:,} numbers and "
        f"{found.different_texts:,} of {found.texts:,} texts differ"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
