import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from upfeed.reading.cache import Cache, users_cache

KEY, PAYLOAD = b"a key", bytes(range(256)) * 40


@pytest.fixture
def kept(tmp_path):
    Cache(tmp_path / "cache").keep("one", KEY, PAYLOAD)
    return tmp_path / "cache"


def test_what_was_kept_is_recalled_for_its_key(kept):
    assert bytes(Cache(kept).recall("one", KEY)) == PAYLOAD


def test_nothing_is_recalled_for_another_key_or_name(kept):
    assert Cache(kept).recall("one", b"another key") is None
    assert Cache(kept).recall("two", KEY) is None


def test_keeping_again_takes_the_place_of_what_was_kept_and_leaves_nothing_else(kept):
    Cache(kept).keep("one", b"later", b"other")
    assert Cache(kept).recall("one", KEY) is None
    assert bytes(Cache(kept).recall("one", b"later")) == b"other"
    assert [path.name for path in kept.iterdir()] == ["one"]


def test_an_empty_payload_is_kept_too(kept):
    Cache(kept).keep("none", KEY, b"")
    assert bytes(Cache(kept).recall("none", KEY)) == b""


@pytest.mark.parametrize("length", [0, 1, 14, 15, 46, 47, 78, 79, 80, 5_000, -1])
def test_a_file_cut_short_is_ignored(kept, length):
    content = (kept / "one").read_bytes()
    (kept / "one").write_bytes(content[:length])
    assert Cache(kept).recall("one", KEY) is None


def test_a_file_that_goes_on_is_ignored(kept):
    with (kept / "one").open("ab") as file:
        file.write(b"more")
    assert Cache(kept).recall("one", KEY) is None


@settings(max_examples=300, derandomize=True, deadline=None)
@given(bit=st.integers(0, 8 * (15 + 64 + len(PAYLOAD)) - 1))
def test_any_flipped_bit_is_noticed(tmp_path_factory, bit):
    folder = tmp_path_factory.getbasetemp() / "flipped"
    Cache(folder).keep("one", KEY, PAYLOAD)
    content = bytearray((folder / "one").read_bytes())
    assert len(content) == 15 + 64 + len(PAYLOAD)
    content[bit // 8] ^= 1 << bit % 8
    (folder / "one").write_bytes(content)
    assert Cache(folder).recall("one", KEY) is None


def test_something_else_under_the_name_is_ignored(kept):
    (kept / "text").write_text("not a cache", encoding="utf-8")
    (kept / "folder").mkdir()
    assert Cache(kept).recall("text", KEY) is None
    assert Cache(kept).recall("folder", KEY) is None


def test_another_users_file_is_ignored(kept, monkeypatch):
    owner = (kept / "one").stat().st_uid
    monkeypatch.setattr(os, "getuid", lambda: owner + 1)
    assert Cache(kept).recall("one", KEY) is None


def test_a_folder_that_cannot_be_made_keeps_nothing_and_harms_nothing(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    cache = Cache(tmp_path / "file" / "cache")
    cache.keep("one", KEY, PAYLOAD)
    assert cache.recall("one", KEY) is None


def test_a_write_that_fails_leaves_what_was_there(kept, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    Cache(kept).keep("one", b"later", b"other")
    assert bytes(Cache(kept).recall("one", KEY)) == PAYLOAD
    assert [path.name for path in kept.iterdir()] == ["one"]


def test_the_users_cache_lies_where_the_environment_says(tmp_path):
    def folder(**environment):
        cache = users_cache(environment)
        return cache and cache._folder

    assert folder(UPFEED_CACHE=str(tmp_path)) == tmp_path
    assert folder(UPFEED_CACHE=str(tmp_path), XDG_CACHE_HOME="/elsewhere") == tmp_path
    assert folder(XDG_CACHE_HOME=str(tmp_path)) == tmp_path / "upfeed"
    assert folder(XDG_CACHE_HOME="relative") == Path.home() / ".cache" / "upfeed"
    assert folder() == Path.home() / ".cache" / "upfeed"
    assert folder(UPFEED_CACHE="") is None


WRITER = """\
import sys
from pathlib import Path
from upfeed.reading.cache import Cache
own = sys.argv[2].encode()
cache = Cache(Path(sys.argv[1]))
seen = 0
for turn in range(60):
    cache.keep("one", b"key " + own, own * 200_000)
    for key in (b"a", b"b", b"c", b"d"):
        found = cache.recall("one", b"key " + key)
        if found is not None:
            seen += 1
            assert bytes(found) == key * 200_000, "a torn payload"
print(seen)
"""


def test_processes_that_write_at_once_never_read_a_torn_payload(tmp_path):
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path), own], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for own in "abcd"
    ]
    told = [run.communicate(timeout=120) for run in runs]
    assert [run.returncode for run in runs] == [0, 0, 0, 0], told
    assert all(int(out) > 0 for out, _ in told)
    assert [path.name for path in tmp_path.iterdir()] == ["one"]
