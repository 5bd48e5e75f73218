"""The page of the phone: its size, what it may load, its version, its words."""

import gzip
import json
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse

from meets.pit.phone.shell import files
from meets.pit.phone.shell.words import WORDS

FOLDER = Path(settings.BASE_DIR, "meets", "static", "pit", "phone")
SCRIPTS = sorted(FOLDER.glob("*.js"))
MOST_BYTES = 60_000
COMMENTS = re.compile(r"/\*.*?\*/|^\s*//[^\n]*", re.DOTALL | re.MULTILINE)
CODE = {path.name: COMMENTS.sub("", path.read_text("utf-8")) for path in SCRIPTS}


def test_all_scripts_together_are_small():
    """Compressed, as a server in front of it or the browser's own store holds them."""
    sizes = {path.name: len(gzip.compress(path.read_bytes(), mtime=0)) for path in SCRIPTS}
    assert {"app.js", "outbox.js", "sync.js", "worker.js"} <= sizes.keys()
    assert sum(sizes.values()) < MOST_BYTES, sizes


def test_the_page_loads_nothing_from_elsewhere_and_runs_nothing_written_into_it(client):
    answer = client.get(reverse("pit:phone"))
    policy = dict(part.strip().split(" ", 1) for part in answer["Content-Security-Policy"].split(";"))
    assert policy == {
        "default-src": "'none'",
        **dict.fromkeys(
            ("script-src", "style-src", "img-src", "font-src", "connect-src", "worker-src", "manifest-src"), "'self'"
        ),
        "base-uri": "'none'",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
    }
    page = answer.text
    assert re.findall(r"<style|\sstyle=|\son\w+=|javascript:", page) == []
    inline = re.findall(r"<script(?![^>]*\bsrc=)([^>]*)>", page)
    assert inline == [' id="words" type="application/json"']


def test_the_page_is_the_same_for_everybody_and_never_kept_by_the_browser_itself(client, desk_client):
    """A worker keeps it: nothing of one person may get into it."""
    assert client.get(reverse("pit:phone")).content == desk_client.get(reverse("pit:phone")).content
    for name in ("pit:phone", "pit:worker", "pit:manifest"):
        answer = client.get(reverse(name))
        assert (answer["Cache-Control"], answer.cookies) == ("no-cache", {})


def shell_of(client):
    return json.loads(re.match(r"self\.shell = (.*);\n", client.get(reverse("pit:worker")).text)[1])


def test_the_worker_keeps_everything_that_the_page_loads(client):
    shell = shell_of(client)
    assert shell["page"] == reverse("pit:phone")
    page = client.get(shell["page"]).text
    loaded = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', page))
    named = re.compile(r"""(?:from\s+|import\(|new URL\()["'](?:\./)?(\w+\.js)["']""")
    imported = {static(f"pit/phone/{name}") for code in CODE.values() for name in named.findall(code)}
    tokens = Path(finders.find("base/tokens.css")).read_text("utf-8")
    faces = {static(f"fonts/{name}") for name in re.findall(r"fonts/([\w-]+\.ttf)", tokens)}
    assert len(imported) > 5
    assert len(faces) == 3
    assert loaded | imported | faces <= set(shell["files"])
    assert static("pit/phone/worker.js") not in shell["files"]
    assert [address for address in shell["files"] if not finders.find(address.removeprefix(static("")))] == []


def test_page_and_worker_name_the_same_version(client):
    version = shell_of(client)["version"]
    assert re.fullmatch("[0-9a-f]{12}", version)
    assert f'data-version="{version}"' in client.get(reverse("pit:phone")).text


@pytest.mark.parametrize("changed", ["outbox.js", "phone.css", "worker.js", "words", "a new file"])
def test_other_content_is_another_version(changed, settings, tmp_path):
    copy = tmp_path / "static" / "pit" / "phone"
    copy.mkdir(parents=True)
    for path in FOLDER.iterdir():
        (copy / path.name).write_bytes(path.read_bytes())
    settings.STATICFILES_DIRS = [tmp_path / "static", *settings.STATICFILES_DIRS]
    finders.get_finder.cache_clear()
    finders.searched_locations.clear()
    try:
        before, words = files.version(), dict(WORDS)
        if changed == "words":
            WORDS["all_sent"] = "All is sent."
        elif changed == "a new file":
            (copy / "newer.js").write_text("// later\n")
        else:
            with (copy / changed).open("a") as file:
                file.write("\n/* later */\n")
        assert files.version() != before
        WORDS.update(words)
        if changed == "words":
            assert files.version() == before
    finally:
        WORDS.update(words)
        finders.get_finder.cache_clear()


# Words

SAID = re.compile(r"""\b(?:say|press)\(\s*["'](\w+)["']""")
TEXTS = re.compile(r"""["'`](\w+)["'`]|(?<=[{,\s])(\w+)(?=:)""")
# Keys that are put together: `role_${role}`, `${flag}_means`.
PUT_TOGETHER = re.compile(r"`(\w*)\$\{[^}]*\}(\w*)`")


def test_every_sentence_that_a_script_says_is_there():
    said = {key for code in CODE.values() for key in SAID.findall(code)}
    assert len(said) > 30
    assert said - WORDS.keys() == set()


def test_every_sentence_is_said_somewhere():
    texts = {text for code in CODE.values() for pair in TEXTS.findall(code) for text in pair}
    ends = {pair for code in CODE.values() for pair in PUT_TOGETHER.findall(code) if max(map(len, pair)) > 2}
    together = [re.compile(rf"{start}\w+{end}") for start, end in ends]
    assert [key for key in WORDS if key not in texts and not any(one.fullmatch(key) for one in together)] == []


def test_placeholders_are_words_in_braces():
    assert {key: text for key, text in WORDS.items() if re.sub(r"\{\w+\}", "", str(text)).strip("{}") == ""} == {}
    assert [key for key, text in WORDS.items() if re.search(r"[{}]|%\(", re.sub(r"\{\w+\}", "", str(text)))] == []
