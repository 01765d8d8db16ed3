import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from upfeed.knowledge import load as loading
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.stored import decode, encode
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.cache import Cache
from upfeed.reading.faults import DataFaults

TOP = Path(__file__).parents[2]
VOCABULARY = read_vocabulary(TOP / "shared" / "vocabulary")
BASE = Layer("base", TOP / "kb")
PART = """\
format: 1
source: common-practice
parts:
  - {{part: MX-4, kind: pushrod, name: Marl 4, maker: Marl, has: {{bore: {bore}}}}}
"""


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "parts.yaml").write_text(PART.format(bore="3 mm"), encoding="utf-8")
    return Layer("shop", folder)


@pytest.fixture
def cache(tmp_path):
    return Cache(tmp_path / "cache")


@pytest.fixture
def parsing(monkeypatch):
    """Files parsed so far, by name."""
    names = []

    def counted(content, file, layer, faults, read=loading.read_yaml):
        names.append(file)
        return read(content, file, layer, faults)

    monkeypatch.setattr(loading, "read_yaml", counted)
    return names


def test_what_is_decoded_is_what_was_loaded():
    loaded = load([BASE], VOCABULARY)
    again = decode(encode(loaded))
    assert again.warnings == loaded.warnings
    assert dict(again.knowledge.parts) == loaded.knowledge.parts
    assert list(again.knowledge.parts) == list(loaded.knowledge.parts)
    assert again.knowledge.families == loaded.knowledge.families
    assert again.knowledge.sources == loaded.knowledge.sources
    assert again.knowledge.digest == loaded.knowledge.digest


def test_stored_parts_are_a_mapping_like_any_other():
    parts = decode(encode(load([BASE], VOCABULARY))).knowledge.parts
    assert "BW-118" in parts
    assert parts["BW-118"] is parts["BW-118"]
    assert parts.get("no such part") is None
    assert len(parts) == len(list(parts.values()))
    with pytest.raises(KeyError):
        parts["no such part"]


def test_other_bytes_are_no_knowledge():
    with pytest.raises(msgspec.DecodeError):
        decode(b"\x93\x01\x02\x03")


def test_the_second_load_parses_nothing_and_knows_the_same(shop, cache, parsing):
    first = load([BASE, shop], VOCABULARY, cache)
    assert "shop/parts.yaml" in parsing
    parsing.clear()
    second = load([BASE, shop], VOCABULARY, cache)
    assert parsing == []
    assert dict(second.knowledge.parts) == first.knowledge.parts
    assert second.knowledge.parts["MX-4"].has["bore"].origin.file == "shop/parts.yaml"


def test_a_changed_file_is_parsed_again(shop, cache, parsing):
    load([BASE, shop], VOCABULARY, cache)
    (shop.folder / "parts.yaml").write_text(PART.format(bore="4 mm"), encoding="utf-8")
    parsing.clear()
    assert load([BASE, shop], VOCABULARY, cache).knowledge.parts["MX-4"].has["bore"].magnitude == 0.004
    assert "shop/parts.yaml" in parsing


def test_a_new_a_renamed_and_a_removed_file_are_noticed(shop, cache, parsing):
    load([BASE, shop], VOCABULARY, cache)
    (shop.folder / "parts.yaml").rename(shop.folder / "rods.yaml")
    parsing.clear()
    origin = load([BASE, shop], VOCABULARY, cache).knowledge.parts["MX-4"].origin
    assert origin.file == "shop/rods.yaml"
    (shop.folder / "rods.yaml").unlink()
    assert "MX-4" not in load([BASE, shop], VOCABULARY, cache).knowledge.parts


@pytest.mark.parametrize(
    "harm", [lambda c: c[:-1], lambda c: c[:40], lambda c: b"", lambda c: c[:90] + b"?" + c[91:]]
)
def test_a_damaged_cache_is_parsed_past_and_mended(shop, cache, tmp_path, parsing, harm):
    load([BASE, shop], VOCABULARY, cache)
    (file,) = (tmp_path / "cache").iterdir()
    file.write_bytes(harm(file.read_bytes()))
    assert "MX-4" in load([BASE, shop], VOCABULARY, cache).knowledge.parts
    parsing.clear()
    load([BASE, shop], VOCABULARY, cache)
    assert parsing == []


def test_another_version_of_the_program_does_not_read_it(shop, cache, parsing, monkeypatch):
    load([BASE, shop], VOCABULARY, cache)
    monkeypatch.setattr(loading, "program", lambda: "another version")
    parsing.clear()
    load([BASE, shop], VOCABULARY, cache)
    assert "shop/parts.yaml" in parsing


def test_faults_are_told_every_time_and_never_kept(shop, cache, tmp_path):
    (shop.folder / "parts.yaml").write_text(PART.format(bore="3 psi"), encoding="utf-8")
    for _ in range(2):
        with pytest.raises(DataFaults):
            load([BASE, shop], VOCABULARY, cache)
    assert not (tmp_path / "cache").exists()


def test_warnings_come_from_the_cache_too(shop, cache, parsing):
    (shop.folder / "parts.yaml").write_text(PART.format(bore="1 mm"), encoding="utf-8")
    first = load([BASE, shop], VOCABULARY, cache).warnings
    parsing.clear()
    assert load([BASE, shop], VOCABULARY, cache).warnings == first
    assert [str(fault) for fault in first if "MX-4" in fault.path]
    assert parsing == []


LOADER = """\
import sys
from pathlib import Path
from upfeed.reading.cache import Cache
from upfeed.reading.folders import data_folder
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.vocabularyfile import read_vocabulary
top, shop, cache = (Path(word) for word in sys.argv[1:])
vocabulary = read_vocabulary(top / "shared" / "vocabulary")
for _ in range(8):
    loaded = load([Layer("base", top / "kb"), Layer("shop", shop)], vocabulary, Cache(cache))
print(loaded.knowledge.parts["MX-4"].has["bore"].magnitude, len(loaded.knowledge.parts))
"""


def test_processes_load_through_one_cache_at_once(shop, tmp_path):
    command = [sys.executable, "-c", LOADER, str(TOP), str(shop.folder), str(tmp_path / "cache")]
    runs = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(3)]
    told = [run.communicate(timeout=120) for run in runs]
    assert [run.returncode for run in runs] == [0, 0, 0], told
    assert len({out for out, _ in told}) == 1
    assert told[0][0].startswith(b"0.003 ")
