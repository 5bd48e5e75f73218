"""What phones load over a weak link is sent compressed, and is the same when it has been unpacked."""

import gzip
from pathlib import Path

import pytest
from django.conf import settings
from django.templatetags.static import static

SCRIPTS = sorted(Path(settings.BASE_DIR, "meets", "static", "pit", "phone").glob("*.js"))
# Django makes each answer longer by up to 100 bytes, drawn by chance, so that nobody guesses secrets from its length.
MOST_BYTES_SENT = 60_000 + 100 * len(SCRIPTS)


def sent(client, path):
    answer = client.get(static(f"pit/phone/{path.name}"), headers={"accept-encoding": "gzip"})
    assert answer.status_code == 200
    return answer, b"".join(answer.streaming_content) if answer.streaming else answer.content


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_comes_compressed_and_whole(client, path):
    answer, body = sent(client, path)
    assert (gzip.decompress(body) if answer.get("Content-Encoding") == "gzip" else body) == path.read_bytes()


def test_all_scripts_of_the_phone_together_cost_little_to_load(client):
    assert sum(len(sent(client, path)[1]) for path in SCRIPTS) < MOST_BYTES_SENT
