import json

import pytest
from django.core.management import call_command
from django.utils import timezone

from meets.models import Entry, Meet
from tests.meets.entries.conftest import DATA

CLEAN, MESSY = str(DATA / "district_entries.csv"), str(DATA / "entries_messy.csv")


@pytest.fixture(autouse=True)
def district(db):
    call_command("create_meet", "district", date="2026-07-04", ages="uk-before-2026", file=CLEAN, stdout=Quiet())


class Quiet:
    def write(self, text):
        pass


def run(*args, **options):
    """The exit code."""
    try:
        call_command("import_entries", *args, **options)
    except SystemExit as ended:
        return ended.code
    return 0


def stored():
    return Entry.objects.count()


def test_a_clean_file_is_stored_and_gets_its_bibs(capsys):
    assert (run("district", CLEAN), stored()) == (0, 180)
    assert capsys.readouterr().out.splitlines()[-2:] == [
        "171 accepted, 9 accepted with advice, 0 to be decided, 0 refused, 0 repeat, 0 empty",
        "180 entries stored, 144 athletes new.",
    ]
    assert not Entry.objects.filter(bib="").exists()


def test_a_workbook_is_stored_too():
    assert (run("district", str(DATA / "district_entries.xlsx"), bibs=False), stored()) == (0, 180)
    assert set(Entry.objects.values_list("bib", flat=True)) == {""}


def test_without_consent_the_lines_asked_about_are_left_out(capsys):
    assert (run("district", MESSY), stored()) == (1, 11)
    assert capsys.readouterr().out.splitlines()[-1] == (
        "11 entries stored, 10 athletes new. Left out: 2 that are yours to decide (--accept-warnings)."
    )


def test_with_consent_what_can_be_is_stored(capsys):
    assert (run("district", MESSY, accept_warnings=True), stored()) == (0, 13)
    assert capsys.readouterr().out.splitlines()[-1] == "13 entries stored, 12 athletes new."


def test_again_it_is_all_there_already():
    run("district", MESSY, accept_warnings=True)
    assert (run("district", MESSY, accept_warnings=True), stored()) == (0, 13)
    assert run("district", CLEAN, accept_warnings=True) == 0


@pytest.mark.parametrize(("file", "code"), [(CLEAN, 0), (MESSY, 1)])
def test_a_dry_run_stores_nothing(capsys, file, code):
    assert (run("district", file, dry_run=True, accept_warnings=True), stored()) == (code, 0)


def test_json_says_everything_about_every_line(capsys):
    assert run("district", MESSY, accept_warnings=True, format="json") == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["meet"], said["file"], said["stored"]) == ("district", MESSY, 13)
    assert [line["line"] for line in said["lines"] if line["stored"]] == [2, 3, 5, 7, 8, 12, 13, 15, 22, 23, 25, 27, 28]


@pytest.mark.parametrize(
    ("meet", "file", "says"),
    [
        ("other", CLEAN, "MEET: there is no meet 'other'; expected one of: district\n"),
        (
            "district",
            "nowhere.csv",
            "nowhere.csv: No such file or directory; expected a CSV or XLSX file that can be read\n",
        ),
        (
            "district",
            str(DATA / "README.md"),
            f"{DATA / 'README.md'}, line 1: the headings do not name a column for: School code, First name, Surname, "
            "Date of birth, Sex, Event. Expected at least: School code, First name, Surname, Date of birth, Sex, "
            "Event. Name the columns in the first line and send the file again.\n",
        ),
    ],
)
def test_wrong_input_is_one_line(capsys, meet, file, says):
    assert (run(meet, file), stored()) == (2, 0)
    assert capsys.readouterr().err == says


def test_after_the_deadline_consent_is_needed(capsys):
    Meet.objects.update(entry_deadline=timezone.now())
    assert (run("district", CLEAN), stored()) == (1, 0)
    assert capsys.readouterr().out.splitlines()[-1].startswith("Entries are closed. Nothing is stored.")
    assert (run("district", CLEAN, accept_warnings=True), stored()) == (0, 180)
