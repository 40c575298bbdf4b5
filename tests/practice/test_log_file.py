"""The log's file when it is old, damaged, foreign, too new, locked, read-only or without room."""

import os
import random
import sqlite3
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from log_makers import entry, old_entry

from chartkit.errors import OutputError
from chartkit.practice import schema
from chartkit.practice.log import FILE, open_log
from chartkit.practice.salvage import rows

LOGS = Path(__file__).parent / "logs"
ENTRIES = [entry(n, note="x" * 6000 if n == 40 else "") for n in range(300)]


@pytest.fixture
def folder(tmp_path):
    with open_log(tmp_path) as log:
        log.record(ENTRIES)
        log.tune_id("a" * 64, "/charts/night-shed.chart", "Night Shed")
        log.start("me", "night-shed", ENTRIES[0].day)
        log.set("me", "minutes", "20")
        log.keep_plan("me", ENTRIES[0].day, "{}")
    return tmp_path


def damage(folder, at, data):
    with (folder / FILE).open("rb+") as file:
        file.seek(at)
        file.write(data)
    return (folder / FILE).read_bytes()


def old_log(folder, version):
    connection = sqlite3.connect(folder / FILE)
    connection.executescript((LOGS / f"version-{version}.sql").read_text(encoding="utf-8"))
    connection.close()


# Old


def test_every_earlier_version_has_its_example():
    assert {f"version-{n}.sql" for n in range(1, schema.VERSION)} == {
        path.name for path in LOGS.iterdir()
    }


@pytest.mark.parametrize("version", range(1, schema.VERSION))
def test_an_old_log_is_brought_up_to_date(tmp_path, version):
    old_log(tmp_path, version)
    before = (tmp_path / FILE).read_bytes()
    expected = [old_entry(n) for n in range(6)]
    if version > 1:
        expected = [
            replace(e, family="dorian" if n % 2 else None, item=f"2025/{n}" if n else "")
            for n, e in enumerate(expected)
        ]
    with open_log(tmp_path) as log:
        (news,) = log.news
        assert {*log.entries("me"), *log.entries("Ada")} == set(expected)
        assert log.tune("night-shed").content_hash == "b" * 64
        assert log.under_way("me") == ("night-shed",)
        assert log.settings("me") == {"minutes": "20"}
        assert log.plan("Ada", expected[0].day) == '{"items": []}'
        assert log.undo("me") == (expected[5],)
        assert log.record([expected[1]]) == 0
    (kept,) = tmp_path.glob("log-before-version-*.sqlite")
    assert str(kept) in news
    assert kept.read_bytes()[100:] == before[100:]
    with open_log(tmp_path) as log:
        assert not log.news


def test_all_versions_end_in_the_same_tables(tmp_path):
    def tables(folder):
        connection = sqlite3.connect(folder / FILE)
        found = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        connection.close()
        return [(name, " ".join((sql or "").split())) for name, sql in found]

    homes = [tmp_path / str(n) for n in range(schema.VERSION)]
    for version, home in enumerate(homes):
        home.mkdir()
        if version:
            old_log(home, version)
        open_log(home).__exit__(None, None, None)
    assert all(tables(home) == tables(homes[0]) for home in homes)


def test_a_later_version_is_refused_and_left_alone(folder):
    connection = sqlite3.connect(folder / FILE)
    connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    connection.close()
    before = (folder / FILE).read_bytes()
    with pytest.raises(OutputError, match="written by a later chartkit"):
        open_log(folder)
    assert (folder / FILE).read_bytes() == before


@pytest.mark.parametrize("inside", ["", "deeper"])
def test_a_file_in_the_folders_place_is_said_so(tmp_path, inside):
    (tmp_path / "home").write_text("a letter")
    with pytest.raises(OutputError, match="a file is in its way"):
        open_log(tmp_path / "home" / inside)
    assert (tmp_path / "home").read_text() == "a letter"


def test_another_programs_database_is_refused_and_left_alone(tmp_path):
    connection = sqlite3.connect(tmp_path / FILE)
    connection.execute("CREATE TABLE recipe (name TEXT)")
    connection.close()
    before = (tmp_path / FILE).read_bytes()
    with pytest.raises(OutputError, match="is no log of chartkit"):
        open_log(tmp_path)
    assert (tmp_path / FILE).read_bytes() == before


# Damaged


@pytest.mark.parametrize(
    ("at", "data"),
    [
        (0, b"\0" * 16),
        (0, random.Random(1).randbytes(100)),
        (0, b"\xff" * 4096),
        (18, b"\x09\x09"),
        (60, bytes(4)),
        (100, b"\0" * 8),
        (103, b"\xff\xff"),
    ],
    ids=range(7),
)
def test_a_damaged_head_loses_no_entry(folder, at, data):
    damaged = damage(folder, at, data)
    with open_log(folder) as log:
        (news,) = log.news
        assert log.entries("me") == tuple(ENTRIES)
        assert log.under_way("me") == ("night-shed",)
        assert log.settings("me") == {"minutes": "20"}
        assert log.plan("me", ENTRIES[0].day) == "{}"
        assert log.tune_id("a" * 64, None, "Another Title") == "night-shed"
    (kept,) = folder.glob("log-damaged-*.sqlite")
    assert str(kept) in news
    assert f"{len(ENTRIES)} entries" in news
    assert kept.read_bytes() == damaged


def read(folder):
    """Return the news and the entries of a log, rescued where it asks for that."""
    with open_log(folder) as log:
        try:
            return log.news, log.entries("me")
        except OutputError as error:
            trouble = str(error)
    assert "chartkit log --rescue" in trouble
    with open_log(folder, rescue=True) as log:
        return log.news, log.entries("me")


@pytest.mark.parametrize("seed", range(25))
def test_whatever_is_damaged_what_is_whole_is_kept(folder, seed):
    rng = random.Random(seed)
    data = (folder / FILE).read_bytes()
    pages = len(data) // 4096
    page = rng.randrange(1, pages)
    start = page * 4096 + rng.choice((0, 0, rng.randrange(4000)))
    length = min(rng.choice((1, 8, 100, 4096)), (page + 1) * 4096 - start)
    damaged = damage(folder, start, rng.randbytes(length))
    hit = {
        row[14]
        for _, row in rows(b"\0" * 4096 + data[page * 4096 : (page + 1) * 4096])
        if len(row) == 18
    }
    news, found = read(folder)
    assert set(found) <= set(ENTRIES), "only what was written is read"
    lost = {one.note for one in set(ENTRIES) - set(found)}
    if news:
        assert damaged in [one.read_bytes() for one in folder.glob("log-damaged-*.sqlite")]
        assert lost <= hit | {"x" * 6000}, "only what stood on the damaged page is lost"
    else:
        assert not lost


@pytest.mark.parametrize(
    ("table", "change"),
    [("learning", "day = 'never'"), ("learning", "day = '2026-13-01'"), ("plan", "day = 'x'")],
)
def test_a_line_that_is_not_what_was_written_is_told_and_left_out(folder, table, change):
    connection = sqlite3.connect(folder / FILE)
    connection.execute(f"UPDATE {table} SET {change}")  # noqa: S608
    connection.commit()
    connection.close()
    reading = {"learning": "learning", "plan": "plans"}[table]
    with open_log(folder) as log, pytest.raises(OutputError, match="chartkit log --rescue"):
        getattr(log, reading)("me")
    with open_log(folder, rescue=True) as log:
        assert getattr(log, reading)("me") == ()
        assert log.entries("me") == tuple(ENTRIES)


@pytest.mark.parametrize("column", ["note", "player", "tempo", "day", "mark", "seconds"])
def test_an_entry_that_is_not_what_was_written_is_told_and_left_out(folder, column):
    connection = sqlite3.connect(folder / FILE)
    connection.execute(f"UPDATE entry SET {column} = '7' WHERE number = 9")  # noqa: S608
    connection.commit()
    connection.close()
    player = "7" if column == "player" else "me"
    with open_log(folder) as log, pytest.raises(OutputError, match="chartkit log --rescue"):
        log.entries(player)
    with open_log(folder, rescue=True) as log:
        assert log.entries("me") == (*ENTRIES[:8], *ENTRIES[9:])


def test_a_file_cut_short_keeps_its_beginning(folder):
    data = (folder / FILE).read_bytes()
    (folder / FILE).write_bytes(data[: len(data) * 2 // 3])
    with open_log(folder) as log:
        assert log.news
        found = log.entries("me")
    assert len(found) > len(ENTRIES) // 3
    assert set(found) <= set(ENTRIES)


def test_a_file_that_never_was_a_log_is_kept(tmp_path):
    (tmp_path / FILE).write_text("not a database\n" * 500, encoding="utf-8")
    with open_log(tmp_path) as log:
        assert "0 entries" in log.news[0]
        assert log.record(ENTRIES[:1]) == 1
    (kept,) = tmp_path.glob("log-damaged-*")
    assert kept.read_text(encoding="utf-8").startswith("not a database")


def test_a_journal_of_the_damaged_file_is_not_played_into_the_new_one(folder):
    damage(folder, 0, b"\xff" * 4096)
    journal = folder / f"{FILE}-journal"
    journal.write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + b"\x01" * 4096)
    with open_log(folder) as log:
        assert log.entries("me") == tuple(ENTRIES)
    assert not journal.exists()


def test_what_was_taken_back_does_not_come_back_by_a_rescue(folder):
    with open_log(folder) as log:
        log.record([entry(1000, note="a slip")])
        log.undo("me")
    damage(folder, 0, b"\xff" * 4096)
    with open_log(folder) as log:
        assert log.entries("me") == tuple(ENTRIES)


def test_two_rescues_of_a_day_keep_both_files(folder):
    for _ in range(2):
        damage(folder, 0, b"\xff" * 100)
        with open_log(folder) as log:
            assert log.entries("me") == tuple(ENTRIES)
    assert len(list(folder.glob("log-damaged-*"))) == 2


def test_a_copied_log_goes_on_elsewhere(folder, tmp_path_factory):
    other = tmp_path_factory.mktemp("other")
    (other / FILE).write_bytes((folder / FILE).read_bytes())
    with open_log(other) as log:
        assert log.entries("me") == tuple(ENTRIES)


def test_a_log_that_is_replaced_while_open_is_not_written_to(folder):
    with open_log(folder) as log:
        (folder / "copy").write_bytes((folder / FILE).read_bytes())
        (folder / "copy").replace(folder / FILE)
        with pytest.raises(OutputError, match="was replaced meanwhile"):
            log.record([entry(1000)])


# No right, no room


def run(code, folder, *, as_nobody=False):
    """Run a few lines with a `log` in a process of their own; return what it printed."""
    lines = [
        "import os, resource, sys",
        "from pathlib import Path",
        "sys.path.insert(0, sys.argv[2])",
        "from log_makers import entry",
        "from chartkit.errors import OutputError",
        "from chartkit.practice.log import open_log",
        "import chartkit.practice.rescue",
        "folder = Path(sys.argv[1])",
        "os.setuid(65534)" if as_nobody and os.getuid() == 0 else "",
        *code,
    ]
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(lines), folder, LOGS.parents[1]],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


TRY = """\
try:
    with open_log(folder) as log:
        print(len(log.entries("me")))
        log.record([entry(n, note="y" * 9000) for n in range(1000, 1100)])
        print("written")
except OutputError as error:
    print(error)
"""


def limit(extra):
    """Lines that let no file of the process grow over the log's size and a little more."""
    return [
        f"size = (folder / {FILE!r}).stat().st_size + {extra}",
        "resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))",
    ]


@pytest.mark.parametrize("extra", [-200_000, 0, 1, 5000, 100_000])
def test_a_full_disk_loses_nothing(folder, extra):
    said = run([*limit(extra), TRY], folder)
    assert said.splitlines()[0] == str(len(ENTRIES))
    assert "the disk is full or fails" in said
    assert "written" not in said
    with open_log(folder) as log:
        assert not log.news
        assert log.entries("me") == tuple(ENTRIES)
        assert log.record([entry(1000)]) == 1


def test_a_full_disk_stops_a_migration_before_it_begins(tmp_path):
    old_log(tmp_path, 1)
    before = (tmp_path / FILE).read_bytes()
    said = run([*limit(-5000), TRY], tmp_path)
    assert "cannot use the log" in said
    assert (tmp_path / FILE).read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == [FILE]


def test_a_full_disk_stops_a_rescue_and_the_damaged_file_stays(folder):
    damaged = damage(folder, 0, b"\xff" * 100)
    said = run([*limit(-5000), TRY], folder)
    assert "cannot use the log" in said
    assert (folder / FILE).read_bytes() == damaged
    with open_log(folder) as log:
        assert log.entries("me") == tuple(ENTRIES)


def opened_to_all(folder):
    """Let anyone reach a folder under pytest's own."""
    for path in (folder, *folder.parents[:3]):
        path.chmod(path.stat().st_mode | 0o055)


@pytest.fixture
def read_only(folder):
    opened_to_all(folder)
    (folder / FILE).chmod(0o444)
    folder.chmod(0o555)
    yield folder
    folder.chmod(0o755)


def test_a_read_only_log_is_read_and_not_written(read_only):
    said = run([TRY], read_only, as_nobody=True).splitlines()
    assert said[0] == str(len(ENTRIES))
    assert "it may only be read" in said[1]


def test_a_read_only_folder_has_no_new_log(read_only):
    (read_only / FILE).unlink()
    said = run([TRY], read_only, as_nobody=True)
    assert "permission denied" in said


def test_a_damaged_log_in_a_read_only_folder_is_told(read_only):
    damage(read_only, 0, b"\xff" * 100)
    said = run([TRY], read_only, as_nobody=True)
    assert "cannot use the log" in said


def test_a_home_that_is_a_file_is_told(tmp_path):
    (tmp_path / "home").write_text("", encoding="utf-8")
    with pytest.raises(OutputError, match="cannot use the log"):
        open_log(tmp_path / "home")


def test_a_log_that_another_holds_is_waited_for_and_then_told(folder, monkeypatch):
    from chartkit.practice import connecting

    monkeypatch.setattr(connecting, "PATIENCE", 0.05)
    holder = sqlite3.connect(folder / FILE, isolation_level=None)
    with open_log(folder) as log:
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(OutputError, match="another chartkit has been writing"):
            log.record([entry(1000)])
        holder.execute("ROLLBACK")
        assert log.record([entry(1000)]) == 1
    holder.close()
