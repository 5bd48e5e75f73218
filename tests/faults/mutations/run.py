"""Runs the table: a copy of the checkout, one change at a time, and the tests that must notice it."""

import os
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from shutil import copyfile

from tests.bench.serving import ROOT, postgresql, postgresql_url
from tests.faults.mutations.mutation import Mutation

RED, GREEN, OUT_OF_DATE, NOT_TRIED = "red", "GREEN", "OUT OF DATE", "NOT TRIED"
LONGEST_S, LONGEST_EACH_S = 300, 30
FAILURE, ERROR, SKIPPED = "failure", "error", "skipped"


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of a change: `red` is as it must be; `says` is what the test saw, or why nothing was tried."""

    mutation: Mutation
    came: str
    says: str
    taken_s: float = 0

    @property
    def line(self) -> str:
        test = self.mutation.test.rpartition("/")[2]
        return f"{self.came:11} {self.taken_s:5.1f} s  {self.mutation.rule}  [{test}]  {self.says}"


@dataclass(frozen=True, slots=True)
class Case:
    """One test as it was run: `came` is '' where it passed."""

    node: str
    came: str
    says: str


def tried(mutations: Sequence[Mutation]) -> Iterator[Tried]:
    """Each change in turn, in a copy that is thrown away; first all tests as the product is."""
    with tempfile.TemporaryDirectory(prefix="mutations-") as folder:
        copy = Copy(Path(folder))
        databases = {mutation.postgresql for mutation in mutations}
        with _databases(True in databases) as url:
            calm = _without_changes(copy, mutations, url)
            for mutation in mutations:
                yield _try(copy, mutation, url, calm[mutation.postgresql, mutation.test])


@contextmanager
def _databases(wanted: bool) -> Iterator[str]:
    """The address of a PostgreSQL; '' where there is none on this machine, or none is wanted."""
    if not wanted:
        yield ""
        return
    with postgresql() as socket_folder:
        yield postgresql_url(socket_folder) if socket_folder else ""


class Copy:
    """What is in the checkout, somewhere else."""

    def __init__(self, folder: Path) -> None:
        self.root, self.data = folder / "checkout", folder / "data"
        self.data.mkdir()
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT, capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip
        for name in filter(None, listed.split("\0")):
            if (ROOT / name).is_file():
                (self.root / name).parent.mkdir(parents=True, exist_ok=True)
                copyfile(ROOT / name, self.root / name)
        imported = self._python("-c", "import meets, scoring; print(meets.__file__, scoring.__file__)").stdout.split()
        if len(imported) != 2 or not all(Path(file).is_relative_to(self.root) for file in imported):
            raise RuntimeError(f"the copy imports {imported}, not its own files in {self.root}")

    def _python(self, *arguments: str, longest_s: float = LONGEST_S, **environment: str) -> subprocess.CompletedProcess:
        own = {"PYTHONPATH": str(self.root), "NEAREST_BREAK_DATA": str(self.data)}
        inherited = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST_", "DATABASE"))}
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=self.root, env={**inherited, **own, **environment}, capture_output=True, text=True, timeout=longest_s,
        )  # fmt: skip

    def cases(self, nodes: Sequence[str], url: str, *options: str) -> list[Case]:
        """Run tests and read what came of each; an empty list where they could not be run at all."""
        report = self.data / "report.xml"
        report.unlink(missing_ok=True)
        database = {"DATABASE_URL": url} if url else {}
        self._python(
            "-m", "pytest", "-n", "0", "-q", "-p", "no:cacheprovider", "-p", "no:schemathesis",
            f"--junitxml={report}", *options, *nodes,
            longest_s=LONGEST_S + LONGEST_EACH_S * len(nodes), **database,
        )  # fmt: skip
        if not report.exists():
            return []
        return [_case(found) for found in ElementTree.parse(report).iter("testcase")]

    @contextmanager
    def changed(self, mutation: Mutation) -> Iterator[None]:
        file = self.root / mutation.file
        before = file.read_text()
        after = before.replace(mutation.old, mutation.new)
        if file.suffix == ".py":
            compile(after, mutation.file, "exec")
        file.write_text(after)
        try:
            yield
        finally:
            file.write_text(before)


def _case(found: ElementTree.Element) -> Case:
    node = f"{found.get('classname', '').replace('.', '/')}.py::{found.get('name')}"
    for came in (FAILURE, ERROR, SKIPPED):
        if (part := found.find(came)) is not None:
            first, *_rest = (part.get("message") or "").strip().splitlines() or [""]
            return Case(node, came, first[:110])
    return Case(node, "", "")


def _without_changes(copy: Copy, mutations: Sequence[Mutation], url: str) -> dict[tuple[bool, str], str]:
    """For each test, '' where it passes as the product is, else why a change would prove nothing."""
    found = {}
    for on_postgresql in (False, True):
        nodes = list(dict.fromkeys(one.test for one in mutations if one.postgresql == on_postgresql))
        if not nodes:
            continue
        if on_postgresql and not url:
            found |= {(True, node): "there is no PostgreSQL here" for node in nodes}
            continue
        cases = copy.cases(nodes, url if on_postgresql else "")
        for node in nodes:
            own = [case for case in cases if case.node == node or case.node.startswith(f"{node}[")]
            bad = [f"{case.came} without the change: {case.says}" for case in own if case.came]
            found[on_postgresql, node] = bad[0] if bad else "" if own else "the test was not found"
    return found


def _try(copy: Copy, mutation: Mutation, url: str, wrong: str) -> Tried:
    many = (copy.root / mutation.file).read_text().count(mutation.old)
    if many != 1:
        return Tried(mutation, OUT_OF_DATE, f"the text stands {many} times in {mutation.file}")
    if wrong:
        return Tried(mutation, NOT_TRIED, wrong)
    begun = time.monotonic()
    try:
        with copy.changed(mutation):
            cases = copy.cases([mutation.test], url if mutation.postgresql else "", "-x")
    except subprocess.TimeoutExpired as endless:
        return Tried(mutation, NOT_TRIED, f"no end within {endless.timeout:.0f} s", endless.timeout)
    taken_s = time.monotonic() - begun
    failed = [case for case in cases if case.came == FAILURE]
    if failed:
        return Tried(mutation, RED, failed[0].says, taken_s)
    # A test that cannot even begin has noticed nothing.
    broken = [case for case in cases if case.came] or ([] if cases else [Case("", ERROR, "nothing was run")])
    if broken:
        return Tried(mutation, NOT_TRIED, f"{broken[0].came}: {broken[0].says}", taken_s)
    return Tried(mutation, GREEN, "no test noticed", taken_s)
