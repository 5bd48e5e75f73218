import pytest

from tests.meets.publishing.packs.days import PublishedDay


@pytest.fixture
def day(db):
    return PublishedDay().all_results()
