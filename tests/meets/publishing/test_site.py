"""The results as plain files: every link leads to a file of the folder, and nothing refers to a server."""

import io
import re
from posixpath import dirname, join, normpath

import pytest
from django.core.management import call_command

from meets.publishing.actions import publish_standings
from meets.publishing.site import export_site
from tests.meets.publishing.conftest import posted
from tests.meets.publishing.test_publish import correct

LINK = re.compile(r'\b(?:href|src|action|hx-get)="([^"]*)"')


@pytest.fixture
def folder(over, tmp_path):
    posted(over, base="https://jumps.example.org")
    correct(over, "1", "5.40")
    posted(over, reason="misheard", base="https://jumps.example.org")
    publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    asked = []
    written = export_site(over.event.meet, tmp_path, lambda done, total: asked.append((done, total)))
    assert asked[-1] == (len(written), len(written))
    return tmp_path


def test_no_link_is_broken_and_none_leads_away(folder):
    pages = list(folder.rglob("*.html"))
    assert len(pages) == 1 + (1 + 2 + 1) + (1 + 1 + 1)
    for page in pages:
        links = [link.partition("#")[0] for link in LINK.findall(page.read_text())]
        assert links
        for link in filter(None, links):
            assert not re.match(r"/|[a-z]+:", link), f"{page}: {link}"
            where = normpath(join(dirname(page.relative_to(folder).as_posix()), link))
            assert (folder / where).is_file(), f"{page}: {link}"


def test_what_style_sheets_use_is_there(folder):
    sheets = list((folder / "static").rglob("*.css"))
    used = [(sheet, address) for sheet in sheets for address in re.findall(r'url\("?([^")]+)', sheet.read_text())]
    assert used
    for sheet, address in used:
        assert (sheet.parent / address).resolve().is_file(), f"{sheet}: {address}"


def test_no_page_names_the_server(folder):
    for page in folder.rglob("*.html"):
        text = page.read_text()
        assert not re.search(r"https?://(?!www\.w3\.org)", text)
        assert "/results/" not in text


def test_the_files_are_those_of_the_server(folder, over, client):
    for ending in ("pdf", "csv", "json"):
        for where in (f"result.{ending}", f"1/result.{ending}"):
            served = client.get(f"/results/spring-jumps/{over.event.pk}/{where}").content
            assert (folder / str(over.event.pk) / where).read_bytes() == served


def test_the_command(over, tmp_path):
    posted(over)
    out = io.StringIO()
    call_command("export_site", "spring-jumps", str(tmp_path), stdout=out)
    assert out.getvalue() == (
        f"{len(list(filter(lambda path: path.is_file(), tmp_path.rglob('*'))))} files in {tmp_path}; "
        f"begin at {tmp_path / 'index.html'}\n"
    )


@pytest.mark.parametrize(
    ("slug", "is_public", "says"),
    [("nowhere", True, "there is no meet 'nowhere'"), ("spring-jumps", False, "is not shown to the public")],
)
def test_what_the_command_refuses(over, tmp_path, slug, is_public, says):
    over.event.meet.is_public = is_public
    over.event.meet.save()
    err = io.StringIO()
    with pytest.raises(SystemExit, match="2"):
        call_command("export_site", slug, str(tmp_path / "site"), stderr=err)
    assert (says in err.getvalue(), (tmp_path / "site").exists()) == (True, False)
