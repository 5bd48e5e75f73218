import pytest

from athletes.models import School
from tests.factories import EntryFactory, PublicationFactory, SchoolFactory

SCHOOLS = "/desk/spring-jumps/schools/"


def test_a_school_is_stored_with_its_code_in_capitals(desk_client, meet):
    sent = {"name": "Thornwick School", "code": " thw ", "contact_email": ""}
    assert desk_client.post(f"{SCHOOLS}new/", sent).status_code == 302
    assert list(School.objects.values_list("name", "code")) == [("Thornwick School", "THW")]


def test_a_code_is_used_once(desk_client, meet):
    SchoolFactory(code="THW")
    answer = desk_client.post(f"{SCHOOLS}new/", {"name": "Another", "code": "thw", "contact_email": ""})
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (422, ["Another school has this code."])


def test_the_code_stays_once_a_result_is_published_with_it(desk_client, event):
    """Team points are added up by it: with another code one school would stand as two, one of them without points."""
    school = EntryFactory(event=event, athlete__school__code="THW").athlete.school
    page, sent = f"{SCHOOLS}{school.pk}/", {"name": "Thornwick Academy", "code": "THX", "contact_email": ""}
    assert desk_client.post(page, sent).status_code == 302
    PublicationFactory(event=event, meet=event.meet)
    again = desk_client.post(page, {**sent, "code": "THW"})
    assert (again.status_code, again.context["form"].errors["code"]) == (
        422,
        [
            "Results with the code THX are published, and team points are added up by it: it stays. "
            "The name can be changed."
        ],
    )
    assert desk_client.post(page, {**sent, "code": "thx", "name": "Thornwick High"}).status_code == 302
    assert School.objects.get().name == "Thornwick High"


def test_a_school_is_found_by_a_part_of_its_name_or_code(desk_client, meet):
    for code, name in (("THW", "Thornwick School"), ("ELG", "Elmgarth Academy"), ("OST", "Ostlerby College")):
        SchoolFactory(code=code, name=name)
    for searched, found in (("wick", ["THW"]), ("elg", ["ELG"]), ("nothing", [])):
        rows = desk_client.get(SCHOOLS, {"q": searched}).context["table"].rows
        assert [row.record.code for row in rows] == found


def test_entries_are_counted_for_this_meet_only(desk_client, event):
    school = SchoolFactory()
    EntryFactory(event=event, athlete__school=school)
    EntryFactory(athlete__school=school)
    rows = desk_client.get(SCHOOLS).context["table"].rows
    assert [(row.record, row.record.entry_count) for row in rows if row.record == school] == [(school, 1)]


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_of_schools_asks_no_more_for_more_schools(desk_client, meet, django_assert_num_queries, rows):
    for _n in range(rows):
        SchoolFactory()
    with django_assert_num_queries(5):
        answer = desk_client.get(SCHOOLS)
    assert len(answer.context["table"].rows) == rows
