"""Names as they should not be: markup, paths, line breaks, scripts that the font lacks, letters without end."""

import io
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from meets.running import actions
from meets.running.reads import state_of
from meets.sheets.actions import write_sheets
from tests.factories import EntryFactory, EventFactory, MeetFactory, SchoolFactory

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
DESK = {"by": "<b>Organiser</b>", "recorder": "desk", "now": NOW}
NAMES = [
    "<b>Bold</b>&amp;<para>", "../../etc/passwd", "Anna\nBerg", "\u202eAnna\u200f", "名前", "W" * 60, "%(name)s {0}",
    "=1+1", "\u0301\u0301", "a/b\\c:d*e?f", " ", ".",
]  # fmt: skip


@pytest.mark.django_db
def test_every_sheet_is_written_inside_its_folder_and_shows_names_as_they_are(tmp_path):
    meet = MeetFactory(name="<i>&lt;" + "M" * 93, rule_set="three-only")
    for number, name in enumerate(NAMES):
        event = EventFactory(meet=meet, name=f"{name}{number}"[:80], age_group=f"U{number}", discipline="LJ")
        for other in NAMES:
            school = SchoolFactory(name=other[:80])
            EntryFactory(
                event=event, athlete__school=school, athlete__first_name=other[:60], athlete__last_name="x",
                athlete__say_it=other[:80],
            )  # fmt: skip
        actions.draw(event_id=event.pk, seed=number, **DESK)
        for _ in range(2):
            turn = state_of(event).callable[0].turn
            actions.record_trial(event_id=event.pk, turn=turn, trial="5.01", answered=True, **DESK)
        actions.disqualify(event_id=event.pk, entry=turn.entry, reason="<para>" + "Z" * 190, **DESK)
    out = tmp_path / "out"
    written = write_sheets(meet=meet, out_dir=out, now=NOW)
    assert {path.resolve().parent.parent for path in written} == {out.resolve(), tmp_path.resolve()}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out"]
    results = [path for path in written if path.name == "result.pdf"]
    assert len(results) == len(NAMES)
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(results[0].read_bytes())).pages)
    for name in ("<b>Bold</b>&amp;<para> x", "../../etc/passwd x", "Anna Berg x", "%(name)s {0} x", "<para>ZZZ"):
        assert name in text
    exported = next(path for path in written if path.suffix == ".csv").read_text(encoding="utf-8-sig")
    assert "'=1+1 x" in exported
    assert ",=1+1" not in exported
