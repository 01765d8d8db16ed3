"""The library that comes with upfeed, opened once for all tests of a process; its example builds, each asked once."""

from functools import cache
from pathlib import Path

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.library import open_library

BUILDS = {
    path.stem: path for path in sorted((Path(__file__).parent.parent / "shared" / "builds").glob("*.yaml"))
}


@cache
def shipped_library():
    """The knowledge and the rules; not opened before somebody asks, when the cache of tests is set up."""
    return open_library()


@cache
def sheet_of(build):
    """An example build as written."""
    return read_build(str(BUILDS[build]), shipped_library())


@cache
def answer_to(build):
    """The check of an example build."""
    return check(sheet_of(build), shipped_library())
