"""What tests of officials' phones share: the stub of a server, its address, and phones that have come in."""

import pytest

from tests.browser.phones import come_in
from tests.browser.stub import Stub, served


@pytest.fixture
def stub():
    return Stub()


@pytest.fixture
def address(stub, settings):
    settings.ALLOWED_HOSTS = ["*"]
    with served(stub) as address:
        yield address


@pytest.fixture
def new_phone(chromium, address):
    """Opens phones; what goes wrong in their scripts fails the test."""
    contexts, wrong = [], []

    def new(**options):
        context = chromium.new_context(viewport={"width": 360, "height": 640}, has_touch=True, **options)
        contexts.append(context)
        context.on("weberror", lambda error: wrong.append(str(error.error)))
        return come_in(context, address)

    yield new
    for context in contexts:
        context.close()
    assert wrong == []


@pytest.fixture
def phone(new_phone):
    return new_phone()
