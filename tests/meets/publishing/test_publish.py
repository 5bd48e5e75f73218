"""From the last jump to a published version: what is stored, what is refused, who is told."""

import json
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from athletes.models import PastMark
from meets.models import Publication, RecordClaim
from meets.publishing.actions import Seen, latest, publish, publish_meet, publish_standings
from meets.publishing.canonical import sha256_of
from meets.publishing.pdf import pdf_of
from meets.running import actions
from meets.running.protests import oral_protest
from meets.running.record import NewRow, Overtaken, record
from meets.running.refusals import Refusal
from scoring.facts import Jumped
from scoring.log import Turn
from scoring.trials import Result
from tests.chance import holds_number
from tests.factories import (
    EntryFactory,
    EventFactory,
    PenaltyFactory,
    PublicationFactory,
    RecordBookFactory,
    RecordFactory,
)
from tests.meets.publishing.conftest import document, line, posted

REFEREE = "Ms Okonjo"
HALF_AN_HOUR, A_WEEK = timedelta(minutes=30), timedelta(days=7)


def official(played, **values):
    posted(played)
    return posted(played, status="official", referee=REFEREE, **values)


def correct(played, bib, trial):
    played.now += timedelta(minutes=1)
    turn = Turn(played.keys[bib], 1)
    actions.correct_trial(**played.who, turn=turn, trial=trial, reason="misheard")


def disqualify(played, bib, reason="not entitled to compete"):
    actions.disqualify(**played.who, entry=played.keys[bib], reason=reason)


def test_the_first_version_is_provisional_and_starts_the_time_for_protests(over):
    made = posted(over)
    assert (made.version, made.status, made.protests_until) == (1, "provisional", over.now + HALF_AN_HOUR)
    assert (made.sha256, made.by, made.at) == (sha256_of(made.document), "O. Rganiser", over.now)
    assert [(one["bib"], one["place"], one["points"]) for one in document(made)["lines"]] == [
        ("2", 1, "8"),
        ("1", 2, "7"),
        ("3", 3, "6"),
    ]
    assert latest(over.event.meet) == {over.event.pk: made}


def test_the_minutes_are_those_of_the_rule_set(over):
    over.event.rule_changes = {"protest_minutes": "12"}
    over.event.save()
    assert posted(over).protests_until == over.now + timedelta(minutes=12)


def test_it_is_official_once_the_time_for_protests_is_over(over):
    posted(over)
    with pytest.raises(Refusal, match=r"Protests are taken until 11:38"):
        posted(over, status="official", now=over.now + HALF_AN_HOUR - timedelta(seconds=1))
    made = posted(over, status="official", now=over.now + HALF_AN_HOUR)
    assert (made.version, made.status, made.protests_until) == (2, "official", None)
    assert document(made)["supersedes"] == {"version": 1, "sha256": Publication.objects.get(version=1).sha256}


def test_the_referee_says_so_earlier_by_name(over):
    assert document(official(over))["declared_by"] == REFEREE


def test_a_provisional_result_that_changes_is_posted_again_with_a_new_time(over):
    posted(over)
    correct(over, "1", "5.40")
    with pytest.raises(Refusal, match="needs its reason"):
        posted(over)
    with pytest.raises(Refusal, match="has changed since version 1"):
        posted(over, status="official", referee=REFEREE)
    made = posted(over, reason="misheard")
    assert (made.version, made.protests_until) == (2, over.now + HALF_AN_HOUR)
    assert {(one["bib"], one["what"], one["was"], one["now"]) for one in made.changes} == {
        ("1", "place", "2", "1"),
        ("1", "mark", "5.10", "5.40"),
        ("1", "points", "7", "8"),
        ("1", "trial", "5.10", "5.40"),
        ("2", "place", "1", "2"),
        ("2", "points", "8", "7"),
    }


def test_nothing_new_is_no_version(over):
    posted(over)
    with pytest.raises(Refusal, match="Nothing has changed since version 1"):
        posted(over, reason="again")
    assert Publication.objects.count() == 1


def test_a_protest_an_appeal_and_the_jury(over):
    posted(over)
    actions.lodge_protest(**over.who, name="p1", entry=over.keys["3"], who="coach", reason="the rake was in the sand")
    late = {"status": "official", "now": over.now + 2 * HALF_AN_HOUR, "referee": REFEREE}
    with pytest.raises(Refusal, match="1 protest is open"):
        posted(over, **late)
    with pytest.raises(Refusal, match="has not decided this protest yet"):
        actions.lodge_appeal(**over.who, name="p1", who="coach", reason="film")
    actions.decide_protest(**over.who, name="p1", upheld=False, reason="the sand was clear")
    decided = over.now
    with pytest.raises(Refusal, match="An appeal may come until"):
        posted(over, **{**late, "referee": "", "now": decided + HALF_AN_HOUR - timedelta(seconds=1)})
    over.now = decided + HALF_AN_HOUR + timedelta(minutes=5)
    with pytest.raises(Refusal, match="The time for an appeal is over since 5 min"):
        actions.lodge_appeal(**over.who, name="p1", who="coach", reason="film")
    actions.lodge_appeal(**over.who, name="p1", who="coach", reason="film", late=True)
    with pytest.raises(Refusal, match="open already"):
        actions.lodge_appeal(**over.who, name="p1", who="coach", reason="film", late=True)
    with pytest.raises(Refusal, match="1 appeal is open"):
        posted(over, **{**late, "now": over.now})
    with pytest.raises(Refusal, match="needs its reason"):
        actions.decide_appeal(**over.who, name="p1", upheld=True, reason=" ")
    actions.decide_appeal(**over.who, name="p1", upheld=False, reason="as the referee said")
    with pytest.raises(Refusal, match="No appeal about this protest is open"):
        actions.decide_appeal(**over.who, name="p1", upheld=True, reason="again")
    with pytest.raises(Refusal, match="no such protest"):
        actions.decide_appeal(**over.who, name="p2", upheld=True, reason="again")
    made = posted(over, **{**late, "referee": "", "now": over.now})
    assert made.status == "official"
    assert "Protest not upheld (decided by the jury): bib 3." in document(made)["notes"]["remarks"]


def test_a_mark_under_protest_is_held_back_until_it_is_upheld(three, event):
    event.meet.rule_set = "three-only"
    event.meet.save()
    three.draw().jump_by_bib({"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "x x x"}, 3)
    turn = Turn(three.keys["3"], 2)
    row = three.state.entry(three.keys["3"]).turns[1].rows[0]
    measured = Jumped(*turn[:2], Result.FAIL, 577, under_protest=True)
    record(
        **three.who, facts=[NewRow(measured, "measured at once", supersedes=(row,)), *oral_protest(three.state, turn)]
    )
    made = posted(three)
    own = line(made, "3")
    assert (own["status"], own["place"], own["series"][1]["shown"]) == ("NM", None, "under protest")
    assert not holds_number("577", made.document)
    assert "5.77" not in made.document + made.csv
    actions.decide_protest(**three.who, name=three.state.protests[0].protest, upheld=True, reason="heel on the board")
    again = posted(three, reason="protest upheld")
    assert (line(again, "3")["place"], line(again, "3")["best"]["shown"]) == (1, "5.77")


def test_marks_on_which_recorders_differ_are_held_back_everywhere(over):
    who = {**over.who, "recorder": "second recorder"}
    actions.record_trial(**who, turn=Turn(over.keys["2"], 1), trial="5.03", wind="+0.5", answered=True)
    made = posted(over)
    own = line(made, "2")
    assert (own["place"], own["best"]["shown"], own["series"][0]["shown"], own["series"][0]["mark"]) == (
        2,
        "5.10",
        "to be settled",
        None,
    )
    for text in (made.document, made.csv):
        assert "5.30" not in text
        assert "5.03" not in text
    with pytest.raises(Refusal, match="The recorders differ on 1 trial"):
        posted(over, status="official", referee=REFEREE)


def test_a_disqualification_a_week_later_is_an_amended_version(over):
    RecordFactory(
        book=RecordBookFactory(), mark=520, discipline="LJ", category="girls", age_group="U15"
    ).book.meets.add(over.event.meet)
    first = official(over)
    standings = publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    assert (standings.status, RecordClaim.objects.get().state) == ("official", "open")
    athlete = over.event.entries.get(bib="2").athlete
    assert PastMark.objects.filter(athlete=athlete).count() == 3
    over.now += A_WEEK
    disqualify(over, "2")
    made = posted(over, status="amended", reason="bib 2 was not entitled to compete")
    assert (made.version, made.status, document(made)["cuts"]) == (3, "amended", document(first)["cuts"])
    assert [(one["bib"], one["place"], one["points"], one["status"]) for one in document(made)["lines"]] == [
        ("1", 1, "8", ""),
        ("3", 2, "7", ""),
        ("2", None, "", "DQ"),
    ]
    assert line(made, "2")["status_reason"] == "not entitled to compete"
    assert PastMark.objects.filter(athlete=athlete).count() == 0
    assert RecordClaim.objects.get().state == "withdrawn"
    again = publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    assert (again.version, again.status) == (2, "amended")
    assert again.reason == "new results: U15 girls long jump (version 3)"
    assert Publication.objects.get(pk=first.pk).document == first.document


def test_two_people_at_once_and_one_is_told(over):
    seen = Seen(0, over.state.version)
    posted(over, seen=seen, by="A. First")
    with pytest.raises(Overtaken, match=r"A\. First has just published version 1"):
        posted(over, seen=seen, by="B. Second")
    correct(over, "1", "5.40")
    with pytest.raises(Overtaken, match="Somebody has recorded in this event in the meantime"):
        posted(over, seen=Seen(1, seen.log_version), reason="misheard")


def test_the_database_refuses_a_version_twice(over):
    made = posted(over)
    with pytest.raises(IntegrityError), transaction.atomic():
        PublicationFactory(event=over.event, version=made.version)


def test_a_reason_is_one_line_without_marks_that_turn_it_round(over):
    posted(over)
    correct(over, "1", "5.40")
    assert posted(over, reason=" bib 1 \u202e misheard\r\nat the pit ").reason == "bib 1 misheard at the pit"


def test_what_fails_leaves_nothing(over):
    RecordFactory(
        book=RecordBookFactory(), mark=520, discipline="LJ", category="girls", age_group="U15"
    ).book.meets.add(over.event.meet)
    with pytest.raises(Refusal, match="cannot be stored"):
        posted(over, reason="half a letter \ud83d")
    with pytest.raises(Refusal, match="as provisional first"):
        posted(over, status="official")
    assert (Publication.objects.count(), RecordClaim.objects.count(), PastMark.objects.count()) == (0, 0, 0)


@pytest.mark.parametrize(
    ("names", "not_public", "shown"),
    [("full", False, "Ilsa Quillhaven"), ("initial", False, "Ilsa Q."), ("bib", False, ""), ("full", True, "")],
)
def test_names_are_shown_as_the_meet_and_the_athlete_say(over, names, not_public, shown):
    meet, athlete = over.event.meet, over.event.entries.get(bib="2").athlete
    meet.public_names = names
    meet.save()
    athlete.first_name, athlete.last_name, athlete.not_public = "Ilsa", "Quillhaven", not_public
    athlete.save()
    made = posted(over)
    assert line(made, "2")["name"] == shown
    for text in (made.document, made.csv):
        assert ("Quillhaven" in text) is (shown == "Ilsa Quillhaven")
        assert str(athlete.born) not in text
        assert str(athlete.born.year) not in text.replace("2027", "")


def test_all_of_a_meet_at_once_says_why_not(over):
    EntryFactory(event=EventFactory(meet=over.event.meet, age_group="U17", position=99), bib="9")
    done, other = publish_meet(over.event.meet, by="O. Rganiser", now=over.now)
    assert (done.publication.status, done.why_not) == ("provisional", "")
    assert (other.publication, other.why_not[:22]) == (None, "The event is not over:")
    later, _other = publish_meet(over.event.meet, by="O. Rganiser", now=over.now + HALF_AN_HOUR)
    assert later.publication.status == "official"


def test_standings_need_a_result_and_something_new(over):
    meet = over.event.meet
    with pytest.raises(Refusal, match="No result is published yet"):
        publish_standings(meet, by="O. Rganiser", now=over.now)
    posted(over)
    made = publish_standings(meet, by="O. Rganiser", now=over.now, seen=0)
    assert (made.status, [one["points"] for one in document(made)["schools"]]) == ("provisional", ["8", "7", "6"])
    with pytest.raises(Overtaken, match="has just published version 1"):
        publish_standings(meet, by="O. Rganiser", now=over.now, seen=0)
    with pytest.raises(Refusal, match="Nothing has changed since version 1"):
        publish_standings(meet, by="O. Rganiser", now=over.now)
    PenaltyFactory(meet=meet, school=over.event.entries.get(bib="2").athlete.school, points=3, reason="late entry")
    again = publish_standings(meet, by="O. Rganiser", now=over.now)
    assert {(one["what"], one["was"], one["now"]) for one in again.changes} == {
        ("place", "1", "3"),
        ("points", "8", "5"),
        ("penalty", "", "-3 (late entry)"),
        ("place", "2", "1"),
        ("place", "3", "2"),
    }


def test_the_same_document_gives_the_same_bytes(over):
    made = posted(over, base="https://jumps.example.org")
    assert pdf_of(json.loads(made.document), made.sha256) == bytes(made.pdf)
    assert document(made)["address"] == f"https://jumps.example.org/results/spring-jumps/{over.event.pk}/"


def test_an_event_of_another_meet_is_none_of_these(over):
    other = EventFactory()
    with pytest.raises(Refusal, match="not over"):
        publish(other, status="provisional", by="O. Rganiser", now=over.now)
