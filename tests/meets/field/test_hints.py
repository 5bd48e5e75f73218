from meets.field.hints import laptop_hints, moved_hint, plain_lacks, sqlite_hint
from meets.field.terminal import drawn, modules


def test_a_laptop_that_has_moved_is_warned_of_once(tmp_path):
    assert moved_hint(tmp_path, "https://192.168.4.7:8443") == ""
    assert moved_hint(tmp_path, "https://192.168.4.7:8443") == ""
    assert moved_hint(tmp_path, "https://10.0.0.2:8443").startswith(
        "Last time this laptop was https://192.168.4.7:8443"
    )
    assert moved_hint(tmp_path, "https://10.0.0.2:8443") == ""


def test_the_firewall_is_named_with_the_port():
    assert "8443" in " ".join(laptop_hints(8443))


def test_plain_says_what_is_lacking():
    assert plain_lacks()[0].startswith("Without HTTPS")


def test_the_fault_of_sqlite_is_said_only_where_it_is():
    from django.db import connection

    from meets.checks import has_wal_reset_fault

    has_it = connection.vendor == "sqlite" and has_wal_reset_fault(connection.Database.sqlite_version_info)
    assert bool(sqlite_hint()) is has_it


def test_the_code_in_the_terminal_is_the_code():
    dark = modules("http://192.168.4.7:8080/")
    lines = drawn(dark).splitlines()
    light = [[False] * (len(dark) + 4) for _row in range(2 * len(lines))]
    for at, line in enumerate(lines):
        for column, sign in enumerate(line):
            light[2 * at][column] = sign in "█▀"
            light[2 * at + 1][column] = sign in "█▄"
    seen = [[not one for one in row[2 : 2 + len(dark)]] for row in light[2 : 2 + len(dark)]]
    assert seen == dark
    assert all(light[0])
    assert all(row[0] and row[-1] for row in light[: len(dark) + 4])
