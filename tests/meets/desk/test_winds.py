import pytest

from tests.meets.desk.conftest import desk


@pytest.fixture
def owing(three):
    """Two winds owed, and one read."""
    return three.draw().jump("5.01", "5.02+1.0", "5.03")


def test_owed_winds_are_typed_in_one_go(desk_client, owing):
    first, _second, third = owing.state.flights[0]
    sent = {f"wind_{first}_1_0": "+1.4", f"wind_{third}_1_0": "NWI"}
    assert desk_client.post(desk(owing.event, "winds/"), sent).status_code == 302
    winds = {key: owing.state.entry(key).by_round[1].wind.tenths for key in (first, third)}
    assert (winds, owing.state.owed_winds) == ({first: 14, third: None}, ())


def test_what_stays_empty_stays_owed(desk_client, owing):
    first, _second, third = owing.state.flights[0]
    desk_client.post(desk(owing.event, "winds/"), {f"wind_{first}_1_0": "-0.3", f"wind_{third}_1_0": ""})
    assert [turn.entry for turn in owing.state.owed_winds] == [third]


def test_one_wind_that_cannot_be_keeps_all_of_them_out(desk_client, owing):
    first, _second, third = owing.state.flights[0]
    version = owing.state.version
    sent = {f"wind_{first}_1_0": "+1.4", f"wind_{third}_1_0": "two"}
    answer = desk_client.post(desk(owing.event, "winds/"), sent)
    assert (answer.status_code, owing.state.version) == (422, version)
    assert answer.context["form"].errors == {
        f"wind_{third}_1_0": ["'two' is no wind reading; expected one decimal with its sign, for example +1.4, or NWI"]
    }


def test_without_a_gauge_all_that_is_owed_becomes_nwi(desk_client, owing):
    first, second, third = owing.state.flights[0]
    names = desk_client.get(desk(owing.event, "winds/")).context["form"].names
    sent = {"none": names, f"wind_{first}_1_0": "+1.4"}
    assert desk_client.post(desk(owing.event, "winds/"), sent).status_code == 302
    winds = {key: owing.state.entry(key).by_round[1].wind.tenths for key in (first, second, third)}
    assert (winds, owing.state.owed_winds) == ({first: None, second: 10, third: None}, ())


def test_only_what_was_owed_when_the_page_was_opened_becomes_nwi(desk_client, owing):
    names = desk_client.get(desk(owing.event, "winds/")).context["form"].names
    owing.jump("5.11")
    desk_client.post(desk(owing.event, "winds/"), {"none": names})
    assert [turn.round for turn in owing.state.owed_winds] == [2]


def test_owed_winds_stand_round_by_round(desk_client, owing):
    first, second, third = owing.state.flights[0]
    owing.jump("5.11", "5.12")
    owed = desk_client.get(desk(owing.event, "winds/")).context["form"].owed
    assert [(turn.entry, turn.round) for _person, turn in owed] == [(first, 1), (third, 1), (first, 2), (second, 2)]


def test_with_nothing_owed_the_page_says_so(desk_client, three):
    assert "No wind is owed" in desk_client.get(desk(three.event, "winds/")).content.decode()
