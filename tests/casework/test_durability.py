"""Writers that are killed, writers that race, media that refuse: nothing acknowledged is lost."""

import itertools
import os
import random
import signal
import subprocess
import sys
import time

import pytest

from atlas.casework.cases import Cases
from atlas.catalogue.library import Library
from atlas.catalogue.writing import write_durably
from atlas.errors import Refused

# Adds numbered notes, saying each number only after the write has returned.
WRITER = """
import sys
from pathlib import Path
from atlas.casework.cases import Cases
from atlas.catalogue.library import Library
cases = Cases(Library(Path(sys.argv[1])), sys.argv[3])
for i in range(int(sys.argv[4]), int(sys.argv[5])):
    cases.note(sys.argv[2], f"{sys.argv[3]}-{i}")
    print(i, flush=True)
"""


def start(library, case, name, first, last):
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(library.root), case, name, str(first), str(last)],
        stdout=subprocess.PIPE,
        text=True,
    )


def notes(library, case):
    return {one.text for one in Cases(library).get(case).evidence.values()}


def test_kill_9_during_200_writes_loses_nothing_acknowledged(library):
    case = Cases(library, "AB").new("killed")
    dice = random.Random(20261125)
    acknowledged = set()
    first = 0
    kills = 0
    while first < 200:
        process = start(library, case.id, "w", first, 200)
        assert process.stdout is not None
        said = "".join(itertools.islice(process.stdout, dice.randrange(1, 40)))
        time.sleep(dice.uniform(0, 0.003))  # anywhere between two writes or inside the next
        process.send_signal(signal.SIGKILL)
        said += process.communicate()[0]
        kills += process.returncode == -signal.SIGKILL
        done = [int(line) for line in said.splitlines(keepends=True) if line.endswith("\n")]
        acknowledged |= {f"w-{i}" for i in done}
        assert acknowledged <= notes(library, case.id)
        first = max([first, *(i + 1 for i in done)])
    assert kills >= 3
    rows, problems = Cases(library).rows()
    assert [row.id for row in rows] == [case.id]
    assert not problems


def test_four_processes_writing_at_once_lose_nothing(library):
    case = Cases(library, "AB").new("raced")
    processes = [start(library, case.id, name, 0, 25) for name in "pqrs"]
    for process in processes:
        process.communicate(timeout=120)
        assert process.returncode == 0
    assert notes(library, case.id) == {f"{name}-{i}" for name in "pqrs" for i in range(25)}
    assert len(Cases(library).get(case.id).history) == 101


def test_a_refused_write_leaves_the_old_state(tmp_path, monkeypatch):
    path = tmp_path / "record"
    write_durably(path, b"old")

    def full(fd):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused, match="disk is full"):
        write_durably(path, b"new")
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["record"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_read_only_folder_is_one_clear_line(library):
    library.root.chmod(0o500)
    with pytest.raises(Refused, match="no permission"):
        Cases(library).new("x")


def test_a_file_in_the_way_is_one_clear_line(tmp_path):
    (tmp_path / "cases").write_text("")
    with pytest.raises(Refused, match="file stands where a folder"):
        Cases(Library(tmp_path)).new("x")


def test_what_a_killed_writer_left_goes_with_the_next_write(library):
    cases = Cases(library, "AB")
    case, other = cases.new("one"), cases.new("two")
    left = [cases.path(one.id).with_name(f".{one.id}.json.part") for one in (case, other)]
    for one in left:
        one.write_bytes(b"{")
    cases.note(case.id, "next")
    assert [one.exists() for one in left] == [False, True]  # the other's writer may be at work
