"""Standards as people give them: read line by line, all or nothing."""

import pytest

from athletes.reading.table import Unreadable
from meets.models import Standard
from meets.records.actions import StoredStandards, store_standards
from meets.records.standard_file import problems_in_words, read_file
from meets.records.standard_lines import HEADINGS, Column, read_standards
from tests.factories import MeetFactory, StandardFactory

pytestmark = pytest.mark.django_db
HEAD = "Standard,Jump,For,Age group,Mark\n"


@pytest.fixture
def meet():
    return MeetFactory()


def read(text, meet, head=HEAD):
    return read_file("standards.csv", (head + text).encode(), meet)


def rows(given):
    return [(one.name, one.discipline, one.category, one.age_group, one.mark) for one in given.standards]


def test_a_file_of_standards(meet):
    given = read("Bronze,long jump,girls,U15,4.10\nSilver,LJ,Girls,Under 15,4,40\n", meet, HEAD)
    assert given.problems[0].column == Column.MARK  # a decimal comma parts cells in a file with commas
    given = read("Bronze;long jump;girls;U15;4,10\nHop;TJ;;;9,00\n", meet, HEAD.replace(",", ";"))
    assert (rows(given), given.problems, given.warnings) == (
        [("Bronze", "LJ", "girls", "U15", 410), ("Hop", "TJ", "", "", 900)], (), (),
    )  # fmt: skip


def test_columns_in_any_order_and_other_spellings(meet):
    given = read("9.10,Step 1,triple jump\n", meet, "Distance,Step,Event\n")
    assert rows(given) == [("Step 1", "TJ", "", "", 910)]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (",LJ,girls,U15,4.10", "column Standard: the name of the standard is missing, for example Bronze."),
        ("Bronze,high jump,,,4.10",
         'column Jump: "high jump" is no jump; expected long jump or triple jump.'),
        ("Bronze,,,,4.10", "column Jump: the jump is missing; expected long jump or triple jump."),
        ("Bronze,LJ,cats,,4.10",
         'column For: "cats" is not understood; expected girls, boys, or an empty cell for all.'),
        ("Bronze,LJ,,U99,4.10",
         'column Age group: "U99" is no age group of this meet; expected U13, U15, U17, U20, or an empty cell '
         "for all."),
        ("Bronze,LJ,,,",
         "column Mark: the mark is missing; expected a distance, for example 5.43."),
        ("Bronze,LJ,,,4.1",
         'column Mark: "4.1" is no distance; expected two decimals, for example 5.40.'),
        ("Bronze,LJ,,,99.10",
         'column Mark: "99.10" is farther than anybody has jumped.'),
        ("=1+1,LJ,,,4.10",
         'column Standard: the cell holds a formula or an error ("=1+1"); type the value.'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_line_and_column(meet, line, says):
    given = read(f"Bronze,LJ,girls,U15,4.10\n{line}\n", meet)
    assert problems_in_words(given, "standards.csv") == [f"standards.csv, line 3, {says}"]


def test_the_same_standard_twice_is_refused_and_the_same_name_for_others_is_not(meet):
    given = read("Bronze,LJ,girls,,4.10\nbronze,LJ,girls,,4.20\nBronze,LJ,boys,,4.20\n", meet)
    assert problems_in_words(given, "s.csv") == [
        "s.csv, line 3: the same standard stands in line 2 already; keep one of them."
    ]


def test_steps_that_do_not_ascend_are_warned_of(meet):
    given = read(
        "Bronze,LJ,girls,U15,4.10\nSilver,LJ,girls,U15,4.40\nGold,LJ,girls,U15,4.40\nBronze,LJ,boys,U15,4.30\n"
        "Silver,LJ,boys,U15,4.20\n",
        meet,
    )
    assert (given.problems, given.warnings) == (
        (),
        (
            "Gold (4.40, U15 girls long jump) is no longer than Silver (4.40) before it.",
            "Silver (4.20, U15 boys long jump) is no longer than Bronze (4.30) before it.",
        ),
    )


def test_a_file_without_the_columns_says_which(meet):
    with pytest.raises(Unreadable) as refused:
        read("Bronze,4.10\n", meet, "Standard,Mark\n")
    assert str(refused.value).startswith(
        "standards.csv, line 1: the headings do not name a column for: Jump. "
        "Expected: Standard, Jump, For, Age group, Mark."
    )
    with pytest.raises(Unreadable, match="both say: Mark"):
        read("Bronze,LJ,4.10,4.20\n", meet, "Standard,Jump,Mark,Distance\n")


def test_very_many_problems_are_counted(meet):
    given = read("Bronze,LJ,,,\n" * 30, meet)
    assert problems_in_words(given, "s.csv")[-1] == "... and 10 more."


def test_lines_typed_on_a_page_are_read_alike_and_empty_ones_left_out(meet):
    lines = [
        (1, {Column.NAME: "Bronze", Column.DISCIPLINE: "LJ", Column.MARK: "4.10"}),
        (2, dict.fromkeys(HEADINGS, "")),
    ]
    assert rows(read_standards(lines, meet)) == [("Bronze", "LJ", "", "", 410)]


def test_a_meet_in_feet_has_its_standards_in_feet():
    given = read("Bronze,LJ,,,14-06.00\n", MeetFactory(unit="quarter-inch"))
    assert rows(given) == [("Bronze", "LJ", "", "", 696)]


@pytest.mark.parametrize(
    ("keep_others", "done", "left"),
    [
        (True, StoredStandards(1, 1, 0), {"Bronze": 420, "Silver": 440, "Gold": 470}),
        (False, StoredStandards(1, 1, 1), {"Bronze": 420, "Gold": 470}),
    ],
)
def test_storing_adds_changes_and_keeps_or_removes_the_others(meet, keep_others, done, left):
    for name, mark in (("Bronze", 410), ("Silver", 440)):
        StandardFactory(meet=meet, name=name, mark=mark, category="girls", age_group="U15")
    StandardFactory(name="Elsewhere")
    given = read("Bronze,LJ,girls,U15,4.20\nGold,LJ,girls,U15,4.70\n", meet)
    assert store_standards(meet=meet, given=given.standards, keep_others=keep_others) == done
    assert dict(Standard.objects.filter(meet=meet).values_list("name", "mark")) == left
    again = store_standards(meet=meet, given=given.standards, keep_others=True)
    assert again == StoredStandards(0, 0, 0)
    assert Standard.objects.filter(name="Elsewhere").exists()
