import csv
import io

from meets.entries.report import plain, problems_csv, table_text
from scoring.marks import Unit

FILE = "entries_messy.csv"
NAMED = [4, 6, 9, 10, 11, 12, 13, 14, 15, 16, 18, 19, 20, 21, 23, 24, 26, 27, 28, 29]


def rows_of(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_problems_stand_before_the_cells_of_the_file(check):
    rows = rows_of(problems_csv(check(FILE)))
    assert [int(row["Line"]) for row in rows] == NAMED
    assert rows[1] == {
        "Line": "6",
        "Outcome": "refused",
        "Why": "Date of birth: 15 years old on 31 August 2026, so not under 15. The age group is U17.",
        "School code": "THO",
        "School": "Thornby Vale School",
        "First name": "Una",
        "Surname": "O’Farrell",
        "Date of birth": "31/08/2011",
        "Sex": "F",
        "Event": "U15 Girls Triple Jump",
        "String": "B",
        "Best": "8.85 m",
        "Board": "7",
    }


def test_the_formula_of_the_file_is_not_live_in_the_problems(check):
    row = next(row for row in rows_of(problems_csv(check(FILE))) if row["Line"] == "16")
    assert row["First name"] == '\'=HYPERLINK("x")'


def test_after_storing_it_says_what_became_of_each_line(check):
    rows = rows_of(problems_csv(check(FILE), stored=(3, 5, 7, 8, 12, 13, 15, 22, 23, 25, 27)))
    said = {int(row["Line"]): row["Outcome"] for row in rows}
    assert [said[number] for number in (2, 4, 6, 12, 13, 28)] == [
        "left out",
        "repeat",
        "refused",
        "stored",
        "stored",
        "to be decided",
    ]
    assert set(said) == {2, *NAMED}


def test_plain_values_have_every_line_and_no_birth_date(check):
    data = plain(check(FILE), Unit.CM, (2, 3))
    assert [line["line"] for line in data["lines"]] == list(range(2, 30))
    assert data["counts"] == {"accepted": 7, "advice": 4, "asked": 2, "refused": 13, "repeat": 1, "empty": 1}
    assert data["lines"][0] == {
        "line": 2,
        "outcome": "accepted",
        "stored": True,
        "reasons": [],
        "entry": {
            "school": "MAR",
            "name": "Orla Elmsall",
            "event": "U13 Girls Long Jump",
            "string": "A",
            "guest": False,
            "best": "2.75",
            "board": None,
        },
    }
    assert data["lines"][10]["reasons"] == [
        {
            "weight": "question",
            "column": "Best",
            "says": '"54.3" is no distance; expected two decimals, for example 5.40. Probably 5.43. '
            "Entered without a seed mark if you agree.",
        }
    ]


def test_the_text_ends_with_the_counts(check):
    lines = table_text(check(FILE)).splitlines()
    assert lines[0] == (
        "repeat                entries_messy.csv, line 4: the same athlete and event as line 3: not entered twice."
    )
    assert lines[-1] == ("7 accepted, 4 accepted with advice, 2 to be decided, 13 refused, 1 repeat, 1 empty")
