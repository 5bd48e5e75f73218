"""`python -m tests.faults.mutations [words]`: every rule of the table, or those that have one of the words in them."""

import sys
import time
from collections import Counter

from tests.faults.mutations.run import RED, tried
from tests.faults.mutations.table import LEFT_OUT, MUTATIONS


def main(words: list[str]) -> int:
    chosen = [one for one in MUTATIONS if not words or any(word in f"{one.rule} {one.file}" for word in words)]
    begun, came = time.monotonic(), Counter()
    for done in tried(chosen):
        came[done.came] += 1
        sys.stdout.write(f"{done.line}\n")
        sys.stdout.flush()
    for rule, why in LEFT_OUT.items():
        sys.stdout.write(f"left out            {rule}: {why}\n")
    sys.stdout.write(f"{dict(came)} of {len(chosen)} in {time.monotonic() - begun:.0f} s\n")
    return 0 if came[RED] == len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
