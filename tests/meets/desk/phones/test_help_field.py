"""The help page of the field laptop names commands that there are, and is found from the list of pages."""

import re

import pytest
from django.core.management import get_commands, load_command_class
from django.urls import reverse


@pytest.fixture
def page(client, db):
    return client.get(reverse("help:page", args=["field"]))


def test_it_stands_in_the_list_and_on_the_page_of_phones(client, page):
    assert page.status_code == 200
    for other in (reverse("help:index"), reverse("help:page", args=["phones"])):
        assert reverse("help:page", args=["field"]) in client.get(other).text


def test_every_command_it_names_can_be_given(page):
    named = {tuple(line.split()) for line in re.findall(r"“manage\.py ([^”]+)”", page.text)}
    assert named == {("serve_field",), ("serve_field", "--plain"), ("restore", "FILE")}
    for name, *rest in named:
        parser = load_command_class(get_commands()[name], name).create_parser("manage.py", name)
        parser.parse_args(rest)
