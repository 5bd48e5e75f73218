"""The public results of a meet as plain files with relative links, for any web host: no page refers to the server."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from posixpath import dirname, relpath
from zoneinfo import ZoneInfo

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone

from meets.models import Event, Meet, Publication
from meets.publishing import meet_pages, result_pages, version_pages
from meets.publishing.canonical import canonical
from meets.publishing.files import content_of
from meets.publishing.reads import versions_of
from meets.publishing.schema import schema_of
from meets.publishing.shown_now import hands_out

LINK = re.compile(r'(?P<what>\b(?:href|src|hx-get)=")(?P<address>/[^"#]*)(?P<rest>[^"]*")')
IN_CSS = re.compile(r'url\("?(?P<address>[^")]+)"?\)')
INDEX = "index.html"
Progress = Callable[[int, int], None]
"""Called with how many files are written and how many there will be."""


def export_site(meet: Meet, folder: Path, progress: Progress | None = None) -> list[Path]:
    """Write all that is published of a meet into a folder. A file of the same name is replaced.

    Answers the files in the order written. What the folder holds beside them stays, but for files of versions that
    name somebody more fully than is shown now.
    """
    site = _Site(meet, folder)
    with timezone.override(ZoneInfo(meet.time_zone)):
        publications = {event: versions_of(meet, event) for event in (*meet.events.all(), None)}
        published = {event: stored for event, stored in publications.items() if stored}
        total = 3 + sum(2 + 3 + len(stored) * 4 for stored in published.values())
        site.page("", "public/result_meet.html", {"page": meet_pages.meet_page(meet)})
        for event, stored in published.items():
            if event is not None:
                event.meet = meet
            for _done in _one(site, event, stored):
                if progress:
                    progress(len(site.written), max(total, len(site.written)))
        for kind in ("result", "standings"):
            site.put(f"schema/{kind}-1.json", canonical(schema_of(kind)).encode())
        site.static_files()
    if progress:
        progress(len(site.written), len(site.written))
    return site.written


def _one(site: "_Site", event: Event | None, stored: list[Publication]) -> Iterator[None]:
    """The pages and files of one event, or of the team standings: the newest, every version, and all of them."""
    where = str(event.pk) if event else "teams"
    for number in (None, *(publication.version for publication in stored)):
        page = result_pages.result_page(site.meet, event, number) if event else meet_pages.teams_page(site.meet, number)
        template = "public/result_event.html" if event else "public/result_teams.html"
        site.page(f"{where}/{number}" if number else where, template, {"page": page, "event": event})
        yield
    for publication in stored:
        whole = Publication.objects.select_related("event", "meet").get(pk=publication.pk)
        folders = (f"{where}/{publication.version}", *([where] if publication is stored[-1] else []))
        handed_out = hands_out(whole)
        for ending in version_pages.ENDINGS:
            for folder in folders:
                if handed_out:
                    site.put(f"{folder}/result.{ending}", content_of(whole, ending))
                else:
                    site.take_away(f"{folder}/result.{ending}")
            yield
    versions = {"versions": version_pages.versions_page(site.meet, event), "event": event}
    site.page(f"{where}/versions", "public/result_versions.html", versions)
    yield


class _Site:
    """A folder that is filled; knows which files of the product its pages use."""

    def __init__(self, meet: Meet, folder: Path) -> None:
        self.meet, self.folder = meet, folder
        self.written: list[Path] = []
        self._root = reverse("results:meet", args=[meet.slug])
        self._static = static("")
        self._used: set[str] = set()

    def page(self, where: str, template: str, context: dict[str, object]) -> None:
        shown = {"meet": self.meet, "here": "results", "exported": True, **context}
        path = f"{where}/{INDEX}" if where else INDEX
        self.put(path, LINK.sub(lambda link: self._relative(link, path), render_to_string(template, shown)).encode())

    def put(self, path: str, content: bytes) -> None:
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
        self.written.append(target)

    def take_away(self, path: str) -> None:
        """What an earlier export may have written and nobody is given any more."""
        (self.folder / path).unlink(missing_ok=True)

    def static_files(self) -> None:
        """What pages use, and what that uses."""
        todo = sorted(self._used)
        while todo:
            name = todo.pop()
            found = finders.find(name)
            if found is None:
                raise FileNotFoundError(f"{name}: a page uses it, and there is no such file")
            content = Path(found).read_bytes()
            self.put(f"static/{name}", content)
            if name.endswith(".css"):
                for address in IN_CSS.findall(content.decode()):
                    other = _joined(dirname(name), address)
                    if other not in self._used:
                        self._used.add(other)
                        todo.append(other)

    def _relative(self, link: re.Match[str], page: str) -> str:
        address = link["address"]
        if address.startswith(self._static):
            name = address.removeprefix(self._static)
            self._used.add(name)
            target = f"static/{name}"
        elif address.startswith(self._root):
            target = address.removeprefix(self._root)
            target += INDEX if not target or target.endswith("/") else ""
        else:
            raise ValueError(f"{page}: {address} is no part of the results")
        return f"{link['what']}{relpath(target, dirname(page) or '.')}{link['rest']}"


def _joined(folder: str, address: str) -> str:
    parts: list[str] = folder.split("/") if folder else []
    for part in address.split("/"):
        if part == "..":
            parts = parts[:-1]
        elif part != ".":
            parts.append(part)
    return "/".join(parts)
