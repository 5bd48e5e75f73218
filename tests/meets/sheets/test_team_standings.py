"""Team standings on paper."""

import pytest

from meets.sheets.documents import TeamLine, TeamStandings
from meets.sheets.team_standings import team_standings_pdf
from tests.meets.sheets.made_up import SCHOOLS, about
from tests.meets.sheets.reading import pages, size_mm, words


def standings(events, penalty="", paper="A4"):
    lines = tuple(
        TeamLine(str(place), school, tuple(f"{place}½" for _ in range(events)), str(90 - place), penalty)
        for place, school in enumerate(SCHOOLS, 1)
    )
    names = tuple(f"U{13 + n} Girls Long Jump" for n in range(events))
    return TeamStandings(about(paper, event="All events"), "In progress", names, lines, ("A note.",), ("U20 Boys",))


@pytest.mark.parametrize(("events", "size"), [(1, (210, 297)), (5, (210, 297)), (6, (297, 210)), (12, (297, 210))])
def test_every_school_with_its_points_on_paper_wide_enough(events, size):
    content = team_standings_pdf(standings(events))
    assert size_mm(content) == size
    assert len(pages(content)) == 1
    text = words(content)
    for place, school in enumerate(SCHOOLS, 1):
        assert f"{place} {school} {' '.join([f'{place}½'] * events)} {90 - place}" in text
    for event in standings(events).events:
        assert event.split()[0] in text
    assert "A note. Still open U20 Boys" in text


def test_a_penalty_has_a_column_of_its_own():
    assert "Penalty" not in words(team_standings_pdf(standings(2)))
    text = words(team_standings_pdf(standings(2, "-5")))
    assert "Penalty Total" in text
    assert f"1 {SCHOOLS[0]} 1½ 1½ -5 89" in text


def test_no_school_yet():
    empty = TeamStandings(about(), "In progress", (), ())
    assert "No school has points yet." in words(team_standings_pdf(empty))
