"""All sheets of a meet, written into a folder."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from meets.sheets.export import result_csv
from meets.sheets.printing import KINDS, event_sheet, safe_name, standings_sheet
from meets.sheets.reads import events, known, teams_known
from meets.sheets.results import result_sheet

Progress = Callable[[int, int], None]
"""Called with how many files are written and how many there will be."""


def write_sheets(
    *, meet, out_dir: Path, now: datetime, paper: str = "", progress: Progress | None = None
) -> list[Path]:
    """Write every sheet of every event, one folder for each event in the order of the programme.

    A result is written as soon as somebody has jumped; `now` stands on it as the time it is posted once the event
    is over. Answers the files in the order written. A file of the same name is replaced.
    """
    found = list(events(meet))
    total = len(found) * (len(KINDS) + 1) + 1
    width = max(2, len(str(len(found))))
    written: list[Path] = []

    def put(path: Path, content: bytes) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        written.append(path)

    for number, event in enumerate(found, 1):
        of_event = known(event, now, paper)
        folder = Path(out_dir) / safe_name((f"{number:0{width}d}", event.name), "")
        begun = any(entry.turns for entry in of_event.state.entries)
        for done, kind in enumerate(KINDS.values(), 1):
            if begun or not kind.is_result:
                posted = now if of_event.state.stage.is_over else None
                put(folder / f"{kind.key}.pdf", event_sheet(kind, of_event, posted))
            if progress:
                progress((number - 1) * (len(KINDS) + 1) + done, total)
        if begun:
            put(folder / "result.csv", result_csv(result_sheet(of_event)).encode())
        if progress:
            progress(number * (len(KINDS) + 1), total)
    put(Path(out_dir) / "team-standings.pdf", standings_sheet(teams_known(meet, now, paper)))
    if progress:
        progress(total, total)
    return written
