import pytest

from meets.running.public_names import public_name
from tests.factories import AthleteFactory, MeetFactory


@pytest.mark.parametrize(
    ("choice", "not_public", "shown"),
    [
        ("full", False, "Ilsa O'Brindlow"),
        ("initial", False, "Ilsa O."),
        ("bib", False, ""),
        ("full", True, ""),
        ("initial", True, ""),
    ],
)
def test_the_public_sees_what_the_meet_chose_and_never_more_than_the_athlete_allows(choice, not_public, shown):
    athlete = AthleteFactory.build(first_name="Ilsa", last_name="O'Brindlow", not_public=not_public, school=None)
    assert public_name(athlete, MeetFactory.build(public_names=choice)) == shown


def test_the_default_is_the_initial():
    assert public_name(AthleteFactory.build(last_name="Ångström", school=None), MeetFactory.build())[-2:] == "Å."
