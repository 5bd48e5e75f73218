"""What keeps the house in order: where things stand, what may know what, words that must not be there."""

import ast
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from django.template import engines

from scoring.rulesets import RULE_SETS, rules

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("scoring", "athletes", "meets")
FRAME = {
    "manage.py",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "meets",
    "athletes",
    "scoring",
    "templates",
    "tests",
}
NAMES_THAT_SAY_NOTHING = {"services", "utils", "helpers", "common", "misc"}

# Joined here, so that this file does not hold them.
MACHINE = ["/wo" + "rk/", "/far" + "m/", "/tm" + "p/", "/ro" + "ot/", "/ho" + "me/"]
HOSTS = ["index" + "-url", "python" + "hosted", "deb." + "debian", "npm" + "js."]
ORIGINS = ["trans" + "cript", "seed doc" + "ument", "you" + "tube", "an" + "thropic", "chat" + "gpt", "cl" + "aude"]
FORBIDDEN = re.compile(
    "|".join([re.escape(word) for word in MACHINE + HOSTS + ORIGINS] + [r"\bissue" + r"s? #?\d", "work" + " session"]),
    re.IGNORECASE,
)


@cache
def files() -> list[Path]:
    """The files of the product: what git keeps, and what it would take in."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    return sorted(ROOT / name for name in set(listed.split("\0")) if name and (ROOT / name).is_file())


def in_house(*suffixes: str, under: str = "") -> list[Path]:
    return [path for path in files() if path.suffix in suffixes and path.is_relative_to(ROOT / under)]


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(path: Path) -> set[str]:
    """Full names of what a file imports, anywhere in it."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def test_the_top_level_is_the_frame():
    top = {path.relative_to(ROOT).parts[0] for path in files()}
    assert {name for name in top if not name.startswith(".")} == FRAME


def test_the_product_speaks_of_itself_alone():
    found = []
    for path in files():
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue
        found += [
            f"{shown(path)}:{n}: {line.strip()[:100]}" for n, line in enumerate(lines, 1) if FORBIDDEN.search(line)
        ]
    assert found == []


def test_no_file_has_a_name_that_says_nothing():
    assert [shown(path) for path in files() if path.stem in NAMES_THAT_SAY_NOTHING] == []


def test_every_folder_of_tests_is_a_package():
    """Without its own __init__.py a folder of tests hides the package of the same name."""
    folders = {folder for path in in_house(".py", under="tests") for folder in [path.parent]}
    assert [shown(folder) for folder in sorted(folders) if not (folder / "__init__.py").exists()] == []


def test_no_test_replaces_our_own_code():
    allowed = {"unittest.mock.ANY"}
    mocks = {
        shown(path): sorted(name for name in imported(path) - allowed if name.startswith(("unittest.mock.", "mock.")))
        for path in in_house(".py", under="tests")
    }
    assert {path: names for path, names in mocks.items() if names} == {}


def called(code: ast.AST) -> set[str]:
    """Names of what some code calls: `print`, `.now`."""
    found = set()
    for node in ast.walk(code):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found.add(node.func.id)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            found.add(f".{node.func.attr}")
    return found


@pytest.mark.parametrize("path", in_house(".py", under="scoring"), ids=shown)
def test_scoring_asks_no_clock_and_touches_nothing_outside(path):
    assert (
        called(tree(path)) & {"open", "print", "input", ".now", ".utcnow", ".today", ".time", "eval", "exec"} == set()
    )


def test_scoring_needs_only_the_standard_library():
    outside = {
        (shown(path), name)
        for path in in_house(".py", under="scoring")
        for name in imported(path)
        if name.partition(".")[0] not in {*sys.stdlib_module_names, "scoring"}
    }
    assert outside == set()


def test_actions_and_reads_know_nothing_of_the_web():
    web = ("django.http", "django.shortcuts", "django.template", "django.views", "django.urls", "django_htmx")
    found = {
        (shown(path), name)
        for path in in_house(".py", under="meets")
        if path.name in ("actions.py", "reads.py", "record.py")
        for name in imported(path)
        if name.startswith(web)
    }
    assert found == set()


def test_views_ask_the_database_nothing_themselves():
    found = {
        f"{shown(path)}:{node.lineno}"
        for path in in_house(".py", under="meets")
        if path.name == "views.py"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute) and node.attr in ("objects", "_default_manager")
    }
    assert found == set()


CHANGING = {".save", ".create", ".delete", ".update", ".bulk_create", ".get_or_create", ".update_or_create", "record"}


def test_changes_are_asked_for_by_keyword():
    found = {
        f"{shown(path)}: {function.name}"
        for path in in_house(".py", under="meets")
        if path.name == "actions.py"
        for function in tree(path).body
        if isinstance(function, ast.FunctionDef)
        and not function.name.startswith("_")
        and called(function) & CHANGING
        and (function.args.args or function.args.posonlyargs)
    }
    assert found == set()


def test_the_word_for_translating_is_never_used_for_something_else():
    """`event, _ = ...` in a module with `gettext as _` breaks its next sentence, often only where it is refused."""
    found = {
        f"{shown(path)}:{node.lineno}"
        for path in in_house(".py")
        if any(
            alias.asname == "_"
            for node in ast.walk(tree(path))
            if isinstance(node, ast.ImportFrom)
            for alias in node.names
        )
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Name) and node.id == "_" and isinstance(node.ctx, ast.Store)
    }
    assert found == set()


def test_heavy_libraries_are_loaded_only_when_they_are_needed():
    heavy = ["openpyxl", "pandas", "numpy", "reportlab", "playwright"]
    program = (
        "import sys, django; django.setup(); from django.urls import get_resolver; get_resolver().url_patterns; "
        f"print(*[name for name in {heavy} if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "meets.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stdout.split() == []


# Templates and scripts

TEMPLATES = [path for path in in_house(".html", ".txt") if path.is_relative_to(ROOT / "templates")]
SCRIPTS = in_house(".js", under="meets/static")
# Django shows these by their names; the last one must not need anything that may have broken.
ERROR_PAGES = {"400.html", "403.html", "403_csrf.html", "404.html", "500.html"}
INCLUDED = re.compile(r"""\{%\s*include\s+["']([^"']+)["']""")
EXTENDED = re.compile(r"""\{%\s*extends\s+["']([^"']+)["']""")
STATIC = re.compile(r"""\{%\s*static\s+["']([^"']+)["']""")


def name_of(template: Path) -> str:
    return template.relative_to(ROOT / "templates").as_posix()


def test_every_template_can_be_read():
    """A tag that does not exist or a block that is not closed, in a page that no other test opens."""
    wrong = {}
    for template in TEMPLATES:
        try:
            engines["django"].get_template(name_of(template))
        except Exception as problem:  # (every kind of mistake in a template)
            wrong[name_of(template)] = str(problem)
    assert wrong == {}


def test_parts_of_pages_start_with_an_underscore_and_are_there():
    included = {name for path in TEMPLATES for name in INCLUDED.findall(path.read_text(encoding="utf-8"))}
    assert [name for name in sorted(included) if not Path(name).name.startswith("_")] == []
    assert [name for name in sorted(included) if not (ROOT / "templates" / name).exists()] == []


def test_parts_do_not_extend_a_page_and_pages_do():
    extends = {name_of(path): bool(EXTENDED.search(path.read_text(encoding="utf-8"))) for path in TEMPLATES}
    parts = {name for name in extends if Path(name).name.startswith("_")}
    assert [name for name in sorted(parts) if extends[name]] == []
    frames = {name for path in TEMPLATES for name in EXTENDED.findall(path.read_text(encoding="utf-8"))}
    pages = {name for name in extends if name.endswith(".html")} - parts - frames - {"500.html"}
    assert [name for name in sorted(pages) if not extends[name]] == []


def test_every_template_is_used():
    source = "\n".join(path.read_text(encoding="utf-8") for path in [*in_house(".py", under="meets"), *TEMPLATES])
    help_pages = {f"help/{page}.html" for page in re.findall(r"""["']help:page["'] ["'](\w+)["']""", source)}
    unused = {name for name in map(name_of, TEMPLATES) if name not in source}
    assert unused - ERROR_PAGES - help_pages - {"help/index.html"} == set()


def test_every_help_page_that_a_page_links_to_is_there():
    from meets.desk.help_views import TEMPLATES as HELP_PAGES

    linked = {
        name
        for path in TEMPLATES
        for name in re.findall(r"""["']help:page["'] ["']([\w-]+)["']""", path.read_text(encoding="utf-8"))
    }
    assert sorted(linked - set(HELP_PAGES)) == []
    assert [name for name in HELP_PAGES.values() if not (ROOT / "templates" / name).exists()] == []


def test_every_static_file_that_a_template_names_is_there():
    from django.contrib.staticfiles import finders

    named = {name for path in TEMPLATES for name in STATIC.findall(path.read_text(encoding="utf-8"))}
    assert [name for name in sorted(named) if not finders.find(name)] == []


def test_templates_and_scripts_fetch_nothing_from_elsewhere():
    """A school's network may be shut, and nobody outside needs to know who looks at a child's results."""
    elsewhere = re.compile(
        r"""(?:src|href|action)\s*=\s*["']?(?:https?:)?//|fetch\(\s*["'](?:https?:)?//|@import\s+url"""
    )
    found = [
        f"{shown(path)}: {match}"
        for path in [*TEMPLATES, *SCRIPTS, *in_house(".css", under="meets/static")]
        for match in elsewhere.findall(path.read_text(encoding="utf-8"))
    ]
    assert found == []


NOT_TEXT = re.compile(
    r"\{%\s*block mood\s*%\}.*?\{%\s*endblock\b.*?%\}|\{%\s*comment.*?endcomment\s*%\}"
    r"|\{%\s*blocktrans(?:late)?\b.*?%\}.*?\{%\s*endblocktrans(?:late)?\s*%\}"
    r"|\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->|<script.*?</script>|<style.*?</style>",
    re.DOTALL,
)
TEXT = re.compile(r">([^<]*[A-Za-z]{3,}[^<]*)<|\b(?:placeholder|aria-label|title|alt)=\"([^\"]*[A-Za-z]{3,}[^\"]*)\"")
AS_THEY_ARE = {"Nearest Break", "NWI"}


def untranslated(html: str) -> list[str]:
    return [words for pair in TEXT.findall(f">{NOT_TEXT.sub('', html)}<") for words in pair if words.strip(" \n·")]


def test_every_word_of_a_page_can_be_translated():
    found = {name_of(path): untranslated(path.read_text(encoding="utf-8")) for path in TEMPLATES}
    assert {name: words for name, words in found.items() if {word.strip(" \n·") for word in words} - AS_THEY_ARE} == {}


def test_the_search_for_untranslated_words_finds_them():
    page = '<p title="Wind">{% translate "Best" %} <b>Place</b></p>{% blocktranslate %}Round{% endblocktranslate %}'
    assert untranslated(page) == ["Wind", "Place"]


# Rules live in `scoring`. Small numbers are everywhere, so only those that would be a rule are looked for.

RULE_NUMBERS = {
    value
    for rule_set in RULE_SETS.values()
    for rule in rules()
    if isinstance(value := getattr(rule_set, rule.name), int) and not isinstance(value, bool) and value > 4
}
COMPARED = re.compile(r"(?:[<>]=?|[!=]==?)\s*(\d+(?:\.\d+)?)\b|\b(\d+(?:\.\d+)?)\s*(?:[<>]=?|[!=]==?)")
COMMENTS = re.compile(r"/\*.*?\*/|(?<![:'\"])//[^\n]*", re.DOTALL)
TAGS = re.compile(r"\{#.*?#\}|\{%\s*comment.*?endcomment\s*%\}|\{\{.*?\}\}|<script.*?</script>|<[^>]*>", re.DOTALL)
RULE_IN_WORDS = re.compile(
    r"\b\d+(?:[.,]\d)?\s?(?:m/s|seconds?|minutes?|trials?|rounds?|athletes|best|places?|points?|cm)\b"
    r"|\bbest \d+\b|\b(?:round|top) \d+\b",
    re.IGNORECASE,
)
RULE_NAMES = {rule.name for rule in rules()} - {"name", "title", "line", "call", "rounds", "points", "standard"}


@pytest.mark.parametrize("path", SCRIPTS, ids=shown)
def test_a_script_compares_nothing_with_a_number_of_the_rules(path):
    code = COMMENTS.sub("", path.read_text(encoding="utf-8"))
    compared = {float(number) for pair in COMPARED.findall(code) for number in pair if number}
    in_metres = {number / 100 for number in RULE_NUMBERS if number > 400}
    assert compared & ({float(number) for number in RULE_NUMBERS} | in_metres) == set()
    assert {name for name in RULE_NAMES if re.search(rf"\b{name}\b", code)} == set()


@pytest.mark.parametrize("path", TEMPLATES, ids=shown)
def test_a_template_states_no_number_of_the_rules(path):
    assert RULE_IN_WORDS.findall(TAGS.sub(" ", path.read_text(encoding="utf-8"))) == []


def test_the_search_for_rules_finds_them():
    """The two checks above would pass on nothing if their patterns were wrong."""
    assert {120, 950, 60} <= RULE_NUMBERS
    assert COMPARED.findall("if (mark > 950 || 20 <= wind) {}") == [("950", ""), ("", "20")]
    assert RULE_IN_WORDS.findall("after 3 rounds the best 8, at most 2.0 m/s") == ["3 rounds", "best 8", "2.0 m/s"]
