"""Judges printed items: python -m tests.oracle FILE [--data FOLDER] [--show N]; "-" reads the standard input.

Reads one opened item in each line. Prints how many items of each family were judged, where their keys stand, and the
objections by family and topic with the first few of each; progress goes to the standard error. The answer to the
shell is 0 without objections, 1 with some, 2 when a line cannot be read or an item cannot be judged.
"""

import argparse
import json
import sys
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import TextIO

from tests.oracle.items import Oracle

EVERY = 2_000
DATA = Path(__file__).resolve().parents[2] / "herbs" / "data"


class Tally:
    """What was found, counted item by item."""

    def __init__(self, show: int) -> None:
        self.show = show
        self.items: Counter[str] = Counter()
        self.flawed: Counter[str] = Counter()
        self.keys: dict[str, Counter[str]] = defaultdict(Counter)
        self.topics: Counter[tuple[str, str]] = Counter()
        self.first: dict[tuple[str, str], list[str]] = defaultdict(list)
        self.unread: list[str] = []

    def note(self, family: str, seed: object, key: object, objections: Iterable[str]) -> None:
        """Counts one item and its objections."""
        self.items[family] += 1
        self.keys[family][str(key)] += 1
        said = list(objections)
        self.flawed[family] += bool(said)
        for objection in said:
            topic, _, text = objection.partition(": ")
            self.topics[family, topic] += 1
            if len(self.first[family, topic]) < self.show:
                self.first[family, topic].append(f"seed {seed}: {text}")

    def lines(self) -> Iterator[str]:
        """The report."""
        for family, count in sorted(self.items.items()):
            yield f"{family}: {count} items, {self.flawed[family]} with objections"
            if 1 < len(self.keys[family]) <= 5:
                places = ", ".join(f"{key}: {number}" for key, number in sorted(self.keys[family].items()))
                yield f"  keys at {places}"
            for (named, topic), number in sorted(self.topics.items(), key=lambda pair: -pair[1]):
                if named == family:
                    yield f"  {topic}: {number}"
                    yield from (f"    {text}" for text in self.first[named, topic])
        yield from (f"not judged: {line}" for line in self.unread[: self.show])
        yield (
            f"{sum(self.items.values())} items, {sum(self.topics.values())} objections to "
            f"{sum(self.flawed.values())} of them, {len(self.unread)} not judged"
        )


def judge(lines: Iterable[str], oracle: Oracle, tally: Tally) -> None:
    """Judges line after line; a line that cannot be judged is noted, and the rest still are."""
    start = time.monotonic()
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            item = json.loads(line)
            objections = oracle.objections(item)
            tally.note(str(item["family"]), item.get("seed"), item.get("key"), objections)
        except (LookupError, TypeError, ValueError, AttributeError) as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            tally.unread.append(f"line {number}: {type(error).__name__} {error} ({place.name}, line {place.lineno})")
        if number % EVERY == 0:
            passed = time.monotonic() - start
            print(f"{number} items in {passed:.0f} s, {number / passed:.0f} a second", file=sys.stderr, flush=True)


def main(arguments: list[str] | None = None) -> int:
    """Reads the command line, judges, prints."""
    parser = argparse.ArgumentParser(prog="python -m tests.oracle", description="Judges opened items by the claims.")
    parser.add_argument("file", help='JSON lines of opened items; "-" for the standard input')
    parser.add_argument("--data", type=Path, default=DATA, help="folder of the materia medica")
    parser.add_argument("--show", type=int, default=3, help="objections printed for each family and topic")
    chosen = parser.parse_args(arguments)
    tally = Tally(chosen.show)
    source: TextIO
    with nullcontext(sys.stdin) if chosen.file == "-" else Path(chosen.file).open(encoding="utf-8") as source:
        judge(source, Oracle(chosen.data), tally)
    print("\n".join(tally.lines()))
    if tally.unread:
        return 2
    return 1 if tally.topics else 0


if __name__ == "__main__":
    sys.exit(main())
