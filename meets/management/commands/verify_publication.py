"""`verify_publication FILE`: whether a published result holds, without a database."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from meets.management.plain import PlainCommand, one_line
from meets.publishing.verify import MOST_BYTES, verify

SIGNS = {True: "holds ", False: "WRONG ", None: "       "}


class Command(PlainCommand):
    help = (
        "Says whether a published result (a .json file of its page) holds: its hash, and the places, bests and points "
        "worked out anew from the series in it. Ends with 0 if all of it holds, with 1 if anything does not. "
        "FILE - reads the standard input. Needs no database."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file as it was published, or - for the standard input")
        parser.add_argument("--hash", default="", metavar="HASH", help="the beginning of the hash as printed on paper")

    def handle(self, *, file: str, **options: Any) -> None:
        try:
            if file == "-":
                content = sys.stdin.buffer.read(MOST_BYTES + 1)
            else:
                with open(file, "rb") as opened:
                    content = opened.read(MOST_BYTES + 1)
        except OSError as problem:
            self.refuse(f"{file}: {problem.strerror or problem}; expected a published .json file that can be read")
        verdict = verify(content, options["hash"])
        for checked in verdict.checked:
            self.put(f"{SIGNS[checked.holds]} {harmless(checked.says)}\n")
        self.put("All of it holds.\n" if verdict.holds else "It does not hold.\n")
        if not verdict.holds:
            raise SystemExit(1)


def harmless(text: str) -> str:
    """Names in a file may hold signs that steer a terminal."""
    return "".join(letter if letter.isprintable() else "?" for letter in one_line(text))
