"""Every sheet of a meet into a folder: the action and its command."""

import io

import pytest
from django.core.management import call_command

from meets.sheets.actions import write_sheets
from meets.sheets.printing import KINDS, safe_name
from tests.factories import EntryFactory, EventFactory
from tests.meets.sheets.conftest import NOW
from tests.meets.sheets.reading import size_mm, words

BEFORE = [f"{key}.pdf" for key, kind in KINDS.items() if not kind.is_result]


@pytest.fixture
def second(jumped):
    """Another event of the same meet, in which nobody has jumped."""
    event = EventFactory(meet=jumped.meet, name="Прыжок в длину / U13: girls?", age_group="U13", position=2)
    EntryFactory(event=event)
    return event


def run(*arguments):
    out, err = io.StringIO(), io.StringIO()
    code = 0
    try:
        call_command("sheets", *map(str, arguments), stdout=out, stderr=err)
    except SystemExit as end:
        code = end.code
    return code, out.getvalue(), err.getvalue()


def test_a_folder_for_each_event_in_the_order_of_the_programme(jumped, second, tmp_path):
    seen = []
    written = write_sheets(meet=jumped.meet, out_dir=tmp_path, now=NOW, progress=lambda *step: seen.append(step))
    assert [path.relative_to(tmp_path).as_posix() for path in written] == [
        *(f"01-u15-girls-long-jump/{name}" for name in (*BEFORE, "result.pdf", "result.csv")),
        *(f"02-прыжок-в-длину-u13-girls/{name}" for name in BEFORE),
        "team-standings.pdf",
    ]
    assert sorted(path for path in tmp_path.rglob("*") if path.is_file()) == sorted(written)
    assert [done for done, _total in seen] == list(range(1, 18))
    assert {total for _done, total in seen} == {17}


def test_every_pdf_is_of_its_event_and_a_finished_result_has_its_time(jumped, second, tmp_path):
    written = write_sheets(meet=jumped.meet, out_dir=tmp_path, now=NOW)
    for path in written:
        if path.suffix == ".pdf" and path.parent != tmp_path:
            event = jumped if path.parent.name.startswith("01") else second
            assert event.name in words(path.read_bytes())
    text = words((tmp_path / "01-u15-girls-long-jump" / "result.pdf").read_bytes())
    assert "posted at 14:22 · protests to the referee before 14:52" in text


def test_the_same_meet_gives_the_same_files(jumped, tmp_path):
    first, again = (
        {path.relative_to(tmp_path / name): path.read_bytes() for path in written}
        for name in ("one", "two")
        for written in [write_sheets(meet=jumped.meet, out_dir=tmp_path / name, now=NOW)]
    )
    assert first == again


def test_the_command_writes_them_and_says_how_many(jumped, tmp_path):
    code, out, _err = run("pyddle", "--out", tmp_path / "paper", "--paper", "Letter")
    assert (code, out) == (0, f"9 files in {tmp_path / 'paper'}\n")
    assert size_mm((tmp_path / "paper" / "team-standings.pdf").read_bytes()) == (216, 279)


def test_a_meet_without_events_gives_its_standings(meet, tmp_path):
    assert run("pyddle", "--out", tmp_path)[:2] == (0, f"1 file in {tmp_path}\n")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("nowhere", "--out", "paper"), "MEET: there is no meet 'nowhere'; expected one of: pyddle\n"),
        (("pyddle", "--out", "paper", "--paper", "B5"), "--paper: 'B5' is no paper; expected A4 or letter\n"),
    ],
)
def test_what_is_wrong_is_one_line_and_two(meet, tmp_path, monkeypatch, arguments, says):
    monkeypatch.chdir(tmp_path)
    assert run(*arguments) == (2, "", says)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_a_file_is_refused(meet, tmp_path):
    (tmp_path / "paper").write_text("a shopping list")
    code, _out, err = run("pyddle", "--out", tmp_path / "paper")
    assert code == 2
    assert err.startswith("--out: ")
    assert err.endswith("expected a folder that can be written to\n")
    assert (tmp_path / "paper").read_text() == "a shopping list"


@pytest.mark.parametrize(
    ("words_of_it", "name"),
    [
        (("01", "U15 Girls' Long Jump"), "01-u15-girls-long-jump.pdf"),
        (("../../etc/passwd",), "etcpasswd.pdf"),
        (("Łucja / Ελένη",), "łucja-ελένη.pdf"),
        (("???",), "sheet.pdf"),
        (("x" * 200, "result"), f"{'x' * 60}-result.pdf"),
    ],
)
def test_file_names_are_safe_and_understood(words_of_it, name):
    assert safe_name(words_of_it, ".pdf") == name
