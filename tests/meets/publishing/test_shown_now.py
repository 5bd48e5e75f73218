"""Names that are taken away after a result was published: nobody gets them from a page, a file or a change any more."""

import io
import json

import pytest
from pypdf import PdfReader

from meets.publishing.packs.build import Drawing
from meets.publishing.shown_now import name_now
from meets.publishing.site import export_site
from tests.factories import AthleteFactory, MeetFactory
from tests.meets.publishing.conftest import document, posted
from tests.meets.publishing.test_publish import official

ENDINGS = ("pdf", "csv", "json")


@pytest.fixture
def named(over):
    """Published with full names; bib 2 is Zenobia Farthingale."""
    meet = over.event.meet
    meet.public_names = "full"
    meet.save()
    athlete = over.event.entries.get(bib="2").athlete
    athlete.first_name, athlete.last_name = "Zenobia", "Farthingale"
    athlete.save()
    official(over)
    return over


def initials(played):
    played.event.meet.public_names = "initial"
    played.event.meet.save()


def nameless(played):
    athlete = played.event.entries.get(bib="2").athlete
    athlete.not_public = True
    athlete.save()


def everything(client, event):
    """All that anybody gets by any address of the result of an event: the answers by address."""
    meet = f"/results/{event.meet.slug}/"
    own = f"{meet}{event.pk}/"
    numbers = event.publications.values_list("version", flat=True)
    where = [own, *(f"{own}{number}/" for number in numbers)]
    files = [f"{folder}result.{ending}" for folder in where for ending in ENDINGS]
    return {address: client.get(address) for address in (meet, f"{own}versions/", *where, *files)}


def words_of(answer):
    if answer["Content-Type"] == "application/pdf":
        return "".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    return answer.content.decode()


@pytest.mark.parametrize(
    ("taken_away", "gone", "left"),
    [(initials, "Farthingale", "Zenobia F."), (nameless, "Zenobia", "")],
    ids=["initials only", "one athlete"],
)
@pytest.mark.parametrize("again", [False, True], ids=["as it was", "published again"])
def test_a_name_that_is_taken_away_is_nowhere(named, client, taken_away, gone, left, again):
    before = everything(client, named.event)
    assert sorted(a for a, answer in before.items() if gone not in words_of(answer)) == [
        f"/results/{named.event.meet.slug}/{named.event.pk}/versions/"
    ]
    taken_away(named)
    if again:
        posted(named, status="amended", reason="names")
    after = everything(client, named.event)
    assert [address for address, answer in after.items() if gone in words_of(answer)] == []
    own = f"/results/{named.event.meet.slug}/{named.event.pk}/"
    assert left in words_of(after[f"{own}1/"])
    refused = [address.removeprefix(own) for address, answer in after.items() if answer.status_code == 410]
    numbers = ("1/", "2/") if again else ("", "1/", "2/")
    assert refused == [f"{number}result.{ending}" for number in numbers for ending in ENDINGS]
    assert all(answer.status_code in (200, 410) for answer in after.values())


def test_whoever_has_the_file_already_is_not_told_that_it_is_still_good(named, client):
    address = f"/results/{named.event.meet.slug}/{named.event.pk}/1/result.pdf"
    tag = client.get(address)["ETag"]
    nameless(named)
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 410


def test_organisers_have_the_file_and_nobody_keeps_it_on_the_way(named, desk_client):
    nameless(named)
    file = desk_client.get(f"/results/{named.event.meet.slug}/{named.event.pk}/1/result.json")
    assert (file.status_code, file["Cache-Control"], "Farthingale" in file.text) == (200, "private, no-cache", True)


def files_in(folder):
    return [path for ending in ENDINGS for path in folder.rglob(f"result.{ending}")]


def test_the_organiser_is_told_until_it_is_published_again(named, desk_client):
    meet = named.event.meet
    public, results = f"/desk/{meet.slug}/public/", f"/desk/{meet.slug}/results/"
    says = "more fully than is shown now"
    assert says not in desk_client.get(results).text
    stored = desk_client.post(public, {"is_public": "on", "public_names": "initial"}, follow=True)
    assert says in stored.text
    assert says in desk_client.get(results).text
    posted(named, status="amended", reason="names")
    assert says not in desk_client.get(results).text


def test_an_export_takes_away_what_an_earlier_one_wrote(named, tmp_path):
    export_site(named.event.meet, tmp_path)
    assert len(files_in(tmp_path)) == 9
    nameless(named)
    written = export_site(named.event.meet, tmp_path)
    assert files_in(tmp_path) == []
    assert [path for path in written if b"Farthingale" in path.read_bytes()] == []


def test_the_pack_of_another_school_has_the_name_as_it_is_shown_now(named):
    newest = named.event.publications.last()
    initials(named)
    drawn = Drawing(named.event.meet, {newest.sha256: json.loads(newest.document)})._published(newest.sha256)
    assert drawn.lines[0].name == "Zenobia F."


def test_the_list_of_changes_says_no_name(named):
    initials(named)
    made = posted(named, status="amended", reason="names")
    assert [(one["what"], one["was"], one["now"]) for one in made.changes] == [("name", "", "")] * 3
    assert made.changes[0]["says"] == "Bib 2: the name is written otherwise."
    assert "Farthingale" not in made.document
    assert document(made)["lines"][0]["name"] == "Zenobia F."


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("published", "chosen", "now"),
    [
        ("Ann Bee", "full", "Ann Bee"),
        ("Ann Bee", "initial", "Ann B."),
        ("Ann Bee", "bib", ""),
        ("Anne B.", "initial", "Anne B."),
        ("Anne B.", "full", "Anne B."),
        ("Anne B.", "bib", ""),
        ("Anne Wasp", "initial", "Ann B."),
        ("", "full", ""),
    ],
)
def test_never_more_than_was_published(published, chosen, now):
    athlete = AthleteFactory.build(first_name="Ann", last_name="Bee")
    assert name_now(published, MeetFactory.build(public_names=chosen), athlete) == now


@pytest.mark.parametrize(
    ("published", "now"),
    [("Ann van der Bee", "Ann B."), ("Ann B.", "Ann B."), ("Ann", "Ann"), ("", "")],
)
def test_of_somebody_who_is_no_longer_known(published, now):
    assert name_now(published, MeetFactory.build(public_names="initial"), None) == now


def test_a_surname_of_one_letter_and_a_dot_is_no_initial():
    athlete = AthleteFactory.build(first_name="Ann", last_name="Bee J.")
    assert name_now("Ann Bee J.", MeetFactory.build(public_names="initial"), athlete) == "Ann B."
