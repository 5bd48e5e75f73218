import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from meets.publishing.canonical import NotCanonical, canonical, file_text, sha256_of

PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"])), inner),
)


@pytest.mark.parametrize(
    ("document", "text"),
    [
        ({"b": 1, "a": [True, None]}, '{"a":[true,null],"b":1}'),
        # Examples of RFC 8785: order by UTF-16 units, letters as they are, control signs escaped.
        (
            {"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew", "1": "One", "\U0001f600": "Face"},
            '{"\\r":"Carriage Return","1":"One","\u20ac":"Euro Sign","\U0001f600":"Face","\ufb33":"Hebrew"}',
        ),
        ('\u20ac$\u000f\nA\'B"\\\\"/', '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'),
        ((1, 2), "[1,2]"),
    ],
)
def test_the_form(document, text):
    assert canonical(document) == text


@pytest.mark.parametrize(
    "value", [1.5, float("nan"), 2**53, -(2**53), "\ud800", {1: 2}, {"\ud800": 1}, b"x", [{}, 0.0]]
)
def test_what_has_no_form(value):
    with pytest.raises(NotCanonical):
        canonical(value)


@given(PLAIN)
def test_read_back_it_is_the_same(document):
    text = canonical(document)
    assert (json.loads(text), canonical(json.loads(text))) == (document, text)


def test_the_file_holds_the_hash_of_the_document_in_it():
    own = hashlib.sha256(b'{"a":1}').hexdigest()
    assert (file_text({"a": 1}), sha256_of('{"a":1}')) == (f'{{"document":{{"a":1}},"sha256":"{own}"}}', own)
