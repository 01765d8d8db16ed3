"""Saved builds beside another knowledge base: what changes is told, what does not is not."""

import pytest

HEAD = "format: 1\nstanding: measured\nsource: pellow-bench-book\nparts:\n"
BUILD = "format: 1\nbuild: {0}\nname: {0}\nfamily: tarn-v8\nslots: {{lifter: {1}}}\n"


@pytest.fixture
def saved(tmp_path):
    folder = tmp_path / "saved"
    folder.mkdir()
    for name, lifter in (("a", "BW-118"), ("b", "BW-126"), ("c", "BW-121")):
        (folder / f"{name}.yaml").write_text(BUILD.format(name, lifter))
    return folder


@pytest.fixture
def other(tmp_path, library):
    """A knowledge base in which the lifter BW-126 turns out to be blind."""
    part = library.knowledge.parts["BW-126"]
    has = "".join(
        f"      {name}: {value.written}\n" for name, value in part.has.items() if name != "metering"
    )
    folder = tmp_path / "other"
    folder.mkdir()
    head = "  - part: BW-126\n    kind: lifter\n    name: blind one\n    maker: Brackwater\n"
    text = f"{head}    has:\n      metering: blind\n{has}"
    (folder / "lifters.yaml").write_text(HEAD + text)
    return folder


def test_a_changed_verdict_is_told_with_the_findings_that_came_and_went(upfeed, saved, other):
    result = upfeed("recheck", saved, "--against", other)
    lines = result.out.decode().splitlines()
    assert result.code == 1
    assert lines[0].endswith("b.yaml: go -> stop")
    assert any(line.startswith("  new: blind-lifter-ends-the-way@") for line in lines)
    assert any(line.startswith("  no longer feed-hole-enlarged-without-effect@") for line in lines)
    assert lines[-1] == "builds: 3, verdicts that change: 1"
    assert not any("a.yaml" in line or "c.yaml" in line for line in lines)


def test_nothing_changes_beside_a_base_that_says_the_same(upfeed, saved, tmp_path):
    (tmp_path / "same").mkdir()
    (tmp_path / "same" / "none.yaml").write_text("format: 1\nparts: []\n")
    result = upfeed("recheck", saved, "--against", tmp_path / "same")
    assert (result.code, result.out) == (0, b"builds: 3, verdicts that change: 0\n")


def test_a_build_that_cannot_be_judged_does_not_spoil_the_others(upfeed, saved, other):
    (saved / "aa.yaml").write_text("format: 1\nfamily: tarn-v9\n")
    result = upfeed("recheck", saved, "--against", other)
    assert result.code == 2
    assert "aa.yaml, line 2" in result.err
    assert b"builds: 3, verdicts that change: 1" in result.out


def test_a_folder_without_builds_is_said_to_have_none(upfeed, tmp_path, other):
    (tmp_path / "empty").mkdir()
    result = upfeed("recheck", tmp_path / "empty", "--against", other)
    assert result.code == 2
    assert "no build" in result.err
