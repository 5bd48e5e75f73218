import pytest

from meets.models import Penalty
from tests.factories import EntryFactory, SchoolFactory
from tests.meets.desk.conftest import Played

STANDINGS = "/desk/spring-jumps/standings/"


@pytest.fixture
def schools(event, session):
    """Two schools: the first jumps 5.20 and 5.00, the second 5.10."""
    one, two = SchoolFactory(code="AAA", name="Alderbeck"), SchoolFactory(code="BBB", name="Birkwater")
    for bib, school in (("1", one), ("2", one), ("3", two)):
        EntryFactory(event=event, bib=bib, athlete__school=school, board_cm=200)
    Played(event).draw().jump_by_bib({"1": "5.20", "2": "5.00", "3": "5.10"}, 1)
    return one, two


def test_every_school_with_its_points_and_where_they_come_from(desk_client, schools, event):
    answer = desk_client.get(STANDINGS)
    standings = answer.context["standings"]
    assert [(s.place, s.code, s.points, s.by_event) for s in standings.schools] == [
        (1, "AAA", "14", {event.pk: "14"}),
        (2, "BBB", "7", {event.pk: "7"}),
    ]
    assert "0 of 1 events are over; the others count as they stand now." in answer.content.decode()


def test_points_are_taken_away_as_a_line_of_its_own(desk_client, organiser, schools):
    one, _two = schools
    sent = {"school": one.pk, "points": "3", "reason": "late team sheet"}
    assert desk_client.post(STANDINGS, sent).status_code == 302
    assert Penalty.objects.get().by == organiser.username
    first = desk_client.get(STANDINGS).context["standings"].schools[0]
    assert (first.points, [line.reason for line in first.lines if line.event_id is None]) == ("11", ["late team sheet"])


def test_a_penalty_is_shown_with_a_minus_sign(desk_client, schools):
    assert len(schools) == 2
    for school in schools:
        desk_client.post(STANDINGS, {"school": school.pk, "points": "9", "reason": "late team sheet"})
    text = desk_client.get(STANDINGS).content.decode()
    assert (text.count("−9"), text.count("-9"), text.count("Birkwater: −2")) == (4, 0, 1)


@pytest.mark.parametrize(
    ("changes", "field"), [({"points": "0"}, "points"), ({"reason": ""}, "reason"), ({"school": ""}, "school")]
)
def test_a_penalty_needs_school_points_and_reason(desk_client, schools, changes, field):
    one, _two = schools
    answer = desk_client.post(STANDINGS, {"school": one.pk, "points": "3", "reason": "late", **changes})
    assert (answer.status_code, list(answer.context["form"].errors), Penalty.objects.count()) == (422, [field], 0)


def test_a_school_without_entries_here_cannot_lose_points(desk_client, schools):
    answer = desk_client.post(STANDINGS, {"school": SchoolFactory().pk, "points": "3", "reason": "late"})
    assert list(answer.context["form"].errors) == ["school"]


def test_without_entries_the_page_says_what_will_be_here(desk_client, meet):
    assert "No school has an entry yet" in desk_client.get(STANDINGS).content.decode()


def test_a_penalty_is_taken_back_with_its_reason_and_kept(desk_client, organiser, schools):
    one, _two = schools
    desk_client.post(STANDINGS, {"school": one.pk, "points": "3", "reason": "late team sheet"})
    penalty = Penalty.objects.get()
    address = f"{STANDINGS}{penalty.pk}/take-back/"
    assert f'href="{address}"' in desk_client.get(STANDINGS).content.decode()
    assert list(desk_client.post(address, {"reason": ""}).context["form"].errors) == ["reason"]
    assert desk_client.post(address, {"reason": "it had come in time"}).status_code == 302
    page = desk_client.get(STANDINGS)
    assert page.context["standings"].schools[0].points == "14"
    kept = Penalty.kept.get()
    assert (kept.taken_back_by, kept.taken_back_reason) == (organiser.username, "it had come in time")
    assert "taken back: it had come in time" in page.content.decode()
    assert desk_client.post(address, {"reason": "again"}).status_code == 404
