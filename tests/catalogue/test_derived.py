"""The cache is never trusted once a file has changed, and never needed."""

import os
import time

import pytest

from atlas.catalogue.derived import derive, scan
from atlas.errors import BadInput


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "records"
    folder.mkdir()
    for name in "abc":
        (folder / f"{name}.toml").write_text(f"first {name}")
    age(folder)
    return folder


def age(folder, seconds=10):
    """Wait until the stamps are no longer fresh; change time cannot be set back by hand."""
    time.sleep(0.08)


class Reader:
    def __init__(self):
        self.read = []

    def __call__(self, path):
        self.read.append(path.name)
        text = path.read_text()
        if text == "bad":
            raise BadInput("bad", str(path))
        return (path.stem,), text.encode()


def run(folder, cache, salt=""):
    reader = Reader()
    items, faults = derive(scan(folder, ".toml"), cache, reader, salt)
    return reader.read, [bytes(item.body).decode() for item in items], faults


def test_unchanged_files_are_not_read_again(folder, tmp_path):
    cache = tmp_path / "cache"
    assert run(folder, cache)[0] == ["a.toml", "b.toml", "c.toml"]
    again, texts, _ = run(folder, cache)
    assert again == []
    assert texts == ["first a", "first b", "first c"]


def test_a_change_is_seen_even_with_the_old_size_and_time_stamp(folder, tmp_path):
    cache = tmp_path / "cache"
    run(folder, cache)
    victim = folder / "b.toml"
    before = victim.stat()
    victim.write_text("FIRST b")
    os.utime(victim, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert victim.stat().st_size == before.st_size
    read, texts, _ = run(folder, cache)
    assert read == ["b.toml"]
    assert texts == ["first a", "FIRST b", "first c"]


def test_a_file_written_within_the_clock_tick_is_read_again(folder, tmp_path):
    cache = tmp_path / "cache"
    (folder / "b.toml").write_text("fresh")
    run(folder, cache)
    assert "b.toml" in run(folder, cache)[0]


def test_a_removed_file_is_gone(folder, tmp_path):
    cache = tmp_path / "cache"
    run(folder, cache)
    (folder / "a.toml").unlink()
    assert run(folder, cache)[1] == ["first b", "first c"]


def test_a_damaged_file_is_named_and_the_others_stay(folder, tmp_path):
    cache = tmp_path / "cache"
    run(folder, cache)
    (folder / "a.toml").write_text("bad")
    _, texts, faults = run(folder, cache)
    assert texts == ["first b", "first c"]
    assert "a.toml" in str(faults[0])


@pytest.mark.parametrize("damage", [b"", b"\xff" * 400, b"\x08" + b"\0" * 7 + b"garbage!"])
def test_a_damaged_cache_is_passed_over(folder, tmp_path, damage):
    cache = tmp_path / "cache"
    run(folder, cache)
    cache.write_bytes(damage)
    assert run(folder, cache)[1] == ["first a", "first b", "first c"]


def test_a_truncated_cache_is_passed_over(folder, tmp_path):
    cache = tmp_path / "cache"
    run(folder, cache)
    cache.write_bytes(cache.read_bytes()[:-3])
    assert run(folder, cache)[1] == ["first a", "first b", "first c"]


def test_another_model_does_not_use_it(folder, tmp_path):
    cache = tmp_path / "cache"
    run(folder, cache, "one")
    assert len(run(folder, cache, "two")[0]) == 3


def test_no_place_for_a_cache_is_no_error(folder, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    assert run(folder, blocked / "cache")[1] == ["first a", "first b", "first c"]
