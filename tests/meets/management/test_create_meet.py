import pytest
from django.core.management import call_command

from meets.models import Meet
from tests.meets.entries.conftest import DATA

CLEAN = str(DATA / "district_entries.csv")


def run(*args, **options):
    call_command("create_meet", *args, **{"date": "2026-07-04", "ages": "uk-before-2026", "file": CLEAN, **options})


@pytest.mark.django_db
def test_a_meet_is_made_of_an_entry_file(capsys):
    run("district-26", name="District meet")
    meet = Meet.objects.get(slug="district-26")
    assert (meet.name, str(meet.date), meet.rule_set, meet.age_scheme, meet.unit, meet.schools_in_match) == (
        "District meet",
        "2026-07-04",
        "international",
        "uk-before-2026",
        "cm",
        9,
    )
    assert capsys.readouterr().out == (
        "District meet (district-26): 10 events, 9 schools (9 new), 2 pit sessions\n"
        f"Next: import_entries district-26 {CLEAN}\n"
    )


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("slug", "options", "says"),
    [
        ("a b", {}, "SLUG: 'a b' is no short name; expected at most 50 letters a-z, figures and hyphens\n"),
        ("new", {}, "SLUG: 'new' is a word of the desk's own addresses; expected another short name\n"),
        (
            "d",
            {"date": "31/02/2026"},
            "--date: '31/02/2026' is no date; expected year-month-day, for example 2027-06-12\n",
        ),
        (
            "d",
            {"age_date": "soon"},
            "--age-date: 'soon' is no date; expected year-month-day, for example 2027-06-12\n",
        ),
        (
            "d",
            {"ages": "uk"},
            "--ages: 'uk' is no age scheme; expected one of uk-before-2026, uk-2026, world, new-zealand, "
            "western-australia, victoria, us-clubs, us-grades\n",
        ),
        ("d", {"unit": "yards"}, "--unit: 'yards' is no unit; expected cm or quarter-inch\n"),
        (
            "d",
            {"ages": "uk-2026"},
            f'{CLEAN}, line 2, column Event: "U13 Girls Long Jump": no age group of the scheme uk-2026; expected one '
            "of U10, U12, U14, U16, U18, U20.\n",
        ),
        (
            "d",
            {"file": "nowhere.csv"},
            "nowhere.csv: No such file or directory; expected a CSV or XLSX file that can be read\n",
        ),
        (
            "d",
            {"name": "x" * 101},
            "--name: Ensure this value has at most 100 characters (it has 101).\n",
        ),
    ],
)
def test_wrong_input_is_one_line_and_makes_nothing(capsys, slug, options, says):
    with pytest.raises(SystemExit) as caught:
        run(slug, **options)
    assert (caught.value.code, capsys.readouterr().err, Meet.objects.count()) == (2, says, 0)


@pytest.mark.django_db
def test_an_unknown_rule_set_names_the_known_ones(capsys):
    with pytest.raises(SystemExit) as caught:
        run("d", rules="mine")
    said = capsys.readouterr().err
    assert (caught.value.code, said.startswith("--rules: 'mine' is no rule set; expected one of international,")) == (
        2,
        True,
    )


@pytest.mark.django_db
def test_a_short_name_that_is_taken_is_refused(capsys):
    run("district-26")
    capsys.readouterr()
    with pytest.raises(SystemExit):
        run("district-26")
    assert capsys.readouterr().err == "SLUG: there is a meet 'district-26' already; expected another short name\n"
