import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.reading.names import folded, is_a_name, tidy_name


@pytest.mark.parametrize(
    ("typed", "tidy"),
    [
        ("  orla ", "Orla"),
        ("ELMSALL", "Elmsall"),
        ("O’Farrell", "O’Farrell"),
        ("O’FARRELL", "O’Farrell"),
        ("o'farrell", "O'Farrell"),
        ("Mbeki-Shaw", "Mbeki-Shaw"),
        ("mbeki-shaw", "Mbeki-Shaw"),
        ("MBEKI-SHAW", "Mbeki-Shaw"),
        ("McXavier", "McXavier"),
        ("MCXAVIER", "McXavier"),
        ("Mc", "Mc"),
        ("van der Berg", "van der Berg"),
        ("van der berg", "van der Berg"),
        ("VAN DER BERG", "van der Berg"),
        ("de Souza", "de Souza"),
        ("d’arcy", "D’Arcy"),
        ("ama's", "Ama's"),
        ("Łukasik", "Łukasik"),
        ("łukasik", "Łukasik"),
        ("ÖZGÜR", "Özgür"),
        ("Anna  Maria", "Anna Maria"),
        ("Orla\N{NO-BREAK SPACE}Mae", "Orla Mae"),
        ("Orla\N{ZERO WIDTH SPACE}", "Orla"),
        ("NG", "Ng"),
        ("LeAnne", "LeAnne"),
        ("", ""),
    ],
)
def test_names_are_tidied_and_not_damaged(typed, tidy):
    assert tidy_name(typed) == tidy


def test_two_capitals_alone_are_initials_in_a_first_name():
    assert [tidy_name(name, initials=True) for name in ("JJ", "jj", "AVA")] == ["JJ", "Jj", "Ava"]


@given(st.text())
def test_tidying_twice_changes_nothing_more(text):
    assert tidy_name(tidy_name(text)) == tidy_name(text)


@pytest.mark.parametrize(
    "name", ["Orla", "O’Farrell", "Mbeki-Shaw", "van der Berg", "Łukasik", "J. (Jo)", "李", "’t Veld"]
)
def test_letters_of_any_script_make_a_name(name):
    assert is_a_name(name)


@pytest.mark.parametrize("text", ["", "Orla2", "=1", "'=HYPERLINK(x)", "<b>", "-", "12", "@x"])
def test_other_signs_make_no_name(text):
    assert not is_a_name(text)


@pytest.mark.parametrize(
    ("one", "other"),
    [("O’Farrell", "O'FARRELL"), ("Mbeki-Shaw", "mbeki shaw"), ("Renée", "renee"), (" orla", "Orla ")],
)
def test_spellings_of_one_name_fold_alike(one, other):
    assert folded(one) == folded(other)
