import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command
from hypothesis import given
from hypothesis import strategies as st

from meets.management.series_file import MOST_BYTES, MOST_LINES
from tests.depth import examples

ROOT = Path(__file__).resolve().parents[3]
SMALL = "code,t1,t2,w1,w2,best,note\nA,7.98,8.08,+2.0,+2.3,8.08,\nB,8.08,7.84,,,8.08,w1\nC,x,,,,,NM\n"
BROKEN = "column 1: 'a cell' cannot be settled; expected quotes in pairs and at most 131072 characters"


def outcome(name: str, *options: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("settle", name, *options, stdout=out, stderr=err)
        code = 0
    except SystemExit as left:
        code = left.code
    return code, out.getvalue(), err.getvalue()


@pytest.fixture
def settled(tmp_path, capsys):
    """Run the command on a content: (exit code, out, err). The file's name is `series.csv`."""

    def run(content: str | bytes, *options: str):
        path = tmp_path / "series.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return command(str(path), *options)

    def command(name: str, *options: str):
        code, out, err = outcome(name, *options)
        return code, out, err.replace(f"{tmp_path}{os.sep}", "")

    run.command = command
    return run


def rows_of(out: str) -> list[dict]:
    return json.loads(out)["rows"]


def test_json(settled):
    code, out, err = settled(SMALL, "--format", "json")
    between = "next best 7.98 against 7.84 (A before B)"
    assert (code, err) == (0, "")
    assert json.loads(out) == {
        "rows": [
            {"code": "A", "place": 1, "best": "8.08", "best_legal": "7.98", "status": "", "decided_by": between},
            {"code": "B", "place": 2, "best": "8.08", "best_legal": None, "status": "", "decided_by": between},
            {
                "code": "C", "place": None, "best": None, "best_legal": None, "status": "NM",
                "decided_by": "no valid mark",
            },
        ]
    }  # fmt: skip


def test_csv(settled):
    code, out, err = settled(SMALL, "--format", "csv")
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "place,code,best,best_legal,status,decided_by",
        "1,A,8.08,7.98,,next best 7.98 against 7.84 (A before B)",
        "2,B,8.08,,,next best 7.98 against 7.84 (A before B)",
        ",C,,,NM,no valid mark",
    ]


def test_table(settled):
    code, out, err = settled(SMALL)
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "Place  Code  Best  Best legal  Status  Decided by",
        "    1  A     8.08        7.98          next best 7.98 against 7.84 (A before B)",
        "    2  B     8.08                      next best 7.98 against 7.84 (A before B)",
        "       C                       NM      no valid mark",
    ]


@pytest.mark.parametrize(
    "content",
    [
        SMALL.encode("utf-8-sig"),
        SMALL.replace("\n", "\r\n").encode(),
        SMALL.replace("\n", "\r").encode(),
        SMALL.replace(",", ";").replace(".", ",").encode(),
        SMALL.replace(",", "\t").encode(),
        b"# source: \"a report\", page 2\n# note, \"of a line\n\n" + SMALL.encode(),
        b'"# event, long jump",,,\n' + SMALL.encode(),
        b"# complete: yes,,,,\n" + SMALL.replace("C,", "# C again\nC,").encode() + b",,,\n\n",
        SMALL.replace("code,t1", '"code",T1').encode(),
        SMALL.replace("A,7.98", '" A\n",7.98').encode(),
        SMALL.replace("note", "note,,").encode(),
        SMALL.replace("\nC,", ",,, ,\nC,").encode(),
        SMALL.replace("C,x", '  # a comment, with blanks before it\n"# one, in quotes",,,,\nC,X').encode(),
        b"\xef\xbb\xbf# a comment first, then the heading\r\n" + SMALL.replace("\n", "\r\n").encode(),
        SMALL.replace("A,7.98", '"A","7,98"').encode(),
        SMALL.replace("+2.0,+2.3", '"2,0","+2,3"').encode(),
        SMALL.replace("C,x,,,,,NM", "C,f,p,w,,,nm").encode(),
        SMALL.removesuffix("\n").encode(),
    ],
)  # fmt: skip
def test_what_is_tolerated_gives_the_same(settled, content):
    assert settled(content, "--format", "json") == settled(SMALL, "--format", "json")


def test_quoted_decimal_commas_and_any_subset_of_columns(settled):
    code, out, err = settled('note,t1,code,t8\n,"5,10",A,"5,43"\n,5.43,B\n', "--format", "json")
    assert (code, err) == (0, "")
    assert [(row["code"], row["place"], row["best"]) for row in rows_of(out)] == [("A", 1, "5.43"), ("B", 2, "5.43")]


def test_a_code_in_quotes_may_start_with_a_hash(settled):
    assert [row["code"] for row in rows_of(settled('code,t1\n"#1",5.00\n', "--format", "json")[1])] == ["#1"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "series.csv, line 1: 'an empty file' cannot be settled; expected a heading with the columns code and t1"),
        (
            "# only: words\n\n",
            "series.csv, line 1: 'an empty file' cannot be settled; expected a heading with the columns code and t1",
        ),
        (
            "# x\ncode,t1\n",
            "series.csv, line 3, column code: 'no line' cannot be settled; expected at least one athlete under the"
            " heading",
        ),
        (
            "name,t1\nA,5.00\n",
            "series.csv, line 1, column code: 'name, t1' cannot be settled; expected a heading with a column code",
        ),
        (
            "# x\ncode,mark\nA,5.00\n",
            "series.csv, line 2, column t1: 'code, mark' cannot be settled; expected a heading with a column t1",
        ),
        (
            "code,t1,t1\nA,5.00,5.01\n",
            "series.csv, line 1, column t1: 't1' cannot be settled; expected every column once, this one is there 2"
            " times",
        ),
        (
            "code,t1\nA,5.00\n# B\n\nA,5.01\n",
            "series.csv, line 5, column code: 'A' cannot be settled; expected a code that line 2 does not have",
        ),
        (
            'code,t1,note\n"A\n",5.00,"two\nlines"\nB,5.4,\n',
            "series.csv, line 5, column t1: '5.4' is no distance; expected two decimals, for example 5.40",
        ),
        (
            "code,t1,w1\nA,5.00,strong\n",
            "series.csv, line 2, column w1: 'strong' is no wind reading; expected one decimal with its sign, for"
            " example +1.4, or NWI",
        ),
        (
            "code,t1\nA,5,43\n",
            "series.csv, line 2, column 3: '43' cannot be settled; expected at most 2 cells, as in the heading",
        ),
        (
            "code,t1,\nA,5.43,q\n",
            "series.csv, line 2, column 3: 'q' cannot be settled; expected nothing in a column without a heading",
        ),
        (
            "code,t1\nA,5.43\nÉ,5.00\n".encode("latin-1"),
            "series.csv, line 3, column code: 'byte 0xc9' cannot be settled; expected text in UTF-8",
        ),
        (
            "# source: Männer\ncode,t1\nA,5.43\n".encode("latin-1"),
            "series.csv, line 1, column 1: 'byte 0xe4' cannot be settled; expected text in UTF-8",
        ),
        (
            SMALL.encode("utf-16"),
            "series.csv, line 1, column 1: 'byte 0xff' cannot be settled; expected text in UTF-8",
        ),
        (
            "code,t1\nA,5.\x0043\n",
            "series.csv, line 2, column t1: 'character U+0000' cannot be settled; expected text without control"
            " characters",
        ),
        (
            "code\x07,t1\nA,5.43\n",
            "series.csv, line 1, column 1: 'character U+0007' cannot be settled; expected text without control"
            " characters",
        ),
        (
            b"\x89PNG\r\n\x1a\n\x00\x00",
            "series.csv, line 1, column 1: 'byte 0x89' cannot be settled; expected text in UTF-8",
        ),
        (
            b"PK\x03\x04\x14\x00",
            "series.csv, line 1: 'a workbook' cannot be settled; expected a CSV file in UTF-8: save the sheet as CSV",
        ),
        (
            'code,t1\nA,5.00\n"B,5.43\nC,5.00\n',
            f"series.csv, line 3, {BROKEN}",
        ),
        (
            'code,t1\n"A"x,5.00\n',
            f"series.csv, line 2, {BROKEN}",
        ),
        (
            f"code,t1\n{'A' * 200_000},5.00\n",
            f"series.csv, line 2, {BROKEN}",
        ),
        (
            f"code,t1\n{'A' * 101},5.00\n",
            f"series.csv, line 2, column code: '{'A' * 60}…' cannot be settled; expected a code of at most 100"
            " characters",
        ),
        (
            f"code,t1\nA,{'5' * 70}\n",
            f"series.csv, line 2, column t1: '{'5' * 60}…' is no distance; expected metres with two decimals, for"
            " example 5.43",
        ),
        (
            "code,t1\n" + "".join(f"A{n},5.00\n" for n in range(MOST_LINES + 1)),
            f"series.csv, line {MOST_LINES + 2}: 'a longer file' cannot be settled; expected at most {MOST_LINES}"
            " lines under the heading",
        ),
        (
            b"code,t1\n" + b"#" * MOST_BYTES,
            "series.csv: 'more than 5 MB' cannot be settled; expected at most 5 MB",
        ),
    ],
)  # fmt: skip
def test_wrong_input_is_refused_in_one_line(settled, content, says):
    assert settled(content) == (2, "", f"{says}\n")


def test_a_missing_file(settled):
    assert settled.command("nowhere.csv") == (
        2, "", "nowhere.csv: No such file or directory; expected a CSV file that can be read\n",
    )  # fmt: skip


def test_a_directory(settled, tmp_path):
    code, out, err = settled.command(str(tmp_path))
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert err.endswith("; expected a CSV file that can be read\n")


def test_an_unknown_rule_set_lists_the_names(settled):
    code, _, err = settled(SMALL, "--rules", "moon")
    assert (code, err.count("\n")) == (2, 1)
    assert err.startswith("--rules: 'moon' is no rule of a rule set; expected one of international, two-cuts,")


def test_a_built_in_rule_set(settled):
    assert settled(SMALL, "--rules", "three-only") == settled(SMALL)


def test_what_looks_wrong_is_a_warning(settled):
    code, out, err = settled("code,t1,coach,best\nA,5.43,B,5.34\n", "--format", "csv")
    assert (code, out.splitlines()[1:]) == (0, ["1,A,5.43,,,best"])
    assert err.splitlines() == [
        "warning: series.csv, column coach: not known, left out",
        "warning: series.csv, line 2, column best: 5.34 is stated, but the trials give 5.43",
    ]


def test_a_formula_for_a_code_stays_itself_in_json_and_is_escaped_in_csv(settled):
    assert settled("code,t1\n=1+1,5.00\n", "--format", "csv")[1].splitlines()[1] == "1,'=1+1,5.00,,,best"
    assert rows_of(settled("code,t1\n=1+1,5.00\n", "--format", "json")[1])[0]["code"] == "=1+1"


SPICE = st.sampled_from(
    [
        "code",
        "t1",
        "w1",
        "note",
        "A",
        "5.43",
        "x",
        "-",
        "+1.4",
        "DNS",
        "w1",
        ",",
        ";",
        "\n",
        "\r",
        '"',
        "#",
        "\0",
        "é",
        "=",
        " ",
    ]
)


@examples(300)
@given(st.lists(SPICE).map("".join).map(lambda text: f"code,t1,w1,note\n{text}".encode()) | st.binary())
def test_whatever_the_bytes_it_is_settled_or_refused_in_one_line(tmp_path_factory, content):
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(content)
    code, out, err = outcome(str(path), "--format", "json")
    if code:
        assert (code, out, err.count("\n")) == (2, "", 1)
        assert err.startswith(str(path))
    else:
        assert all(line.startswith("warning: ") for line in err.splitlines())
        assert rows_of(out)


def run(*arguments: str, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, ROOT / "manage.py", "settle", *arguments],
        input=stdin, capture_output=True, check=False, env={**os.environ, **environment},
    )  # fmt: skip


def test_standard_input_without_a_database(tmp_path):
    nowhere = f"sqlite:///{tmp_path / 'missing' / 'none.sqlite3'}"
    done = run("-", "--format", "json", stdin=SMALL.encode(), DATABASE_URL=nowhere)
    assert (done.returncode, done.stderr) == (0, b"")
    assert [row["place"] for row in rows_of(done.stdout.decode())] == [1, 2, None]
    assert not (tmp_path / "missing").exists()


def test_standard_input_is_named_in_a_refusal():
    done = run("-", stdin=b"code,t1\nA,far\n")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().splitlines() == [
        "standard input, line 2, column t1: 'far' is no trial; expected a distance, x, -, r or o"
    ]


def test_a_console_without_the_letters_shows_them_escaped():
    done = run("-", "--format", "csv", stdin="code,t1\nΩ,5.00\n".encode(), PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().splitlines()[1] == "1,\\u03a9,5.00,,,best"


def test_a_reader_who_stops_early_is_no_error(tmp_path):
    path = tmp_path / "long.csv"
    path.write_text("code,t1\n" + "".join(f"A{n},5.{n % 100:02d}\n" for n in range(MOST_LINES - 1)))
    with subprocess.Popen(
        [sys.executable, ROOT / "manage.py", "settle", path], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 0
