"""What many tests ask of the program as a whole: the shipped library, checks of builds, the command line."""

import io
import json
import os
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import settings
from msgspec import Struct

from shipped import shipped_library
from upfeed import cli
from upfeed.answering.check import check
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.cache import VARIABLE
from upfeed.reading.faults import DataFaults
from upfeed.reading.jsontree import read_json

# A change must not fail over a draw that the last one did not meet: the same examples every time. Before a release,
# `pytest --hypothesis-profile=wander` draws new ones.
settings.register_profile("fixed", derandomize=True, database=None, deadline=None)
settings.register_profile("wander", deadline=None)
settings.load_profile("fixed")

TOP = Path(__file__).parent.parent


class Told(Struct, frozen=True):
    """What a command left behind: exit code, bytes on standard output, text on standard error."""

    code: int
    out: bytes
    err: str

    @property
    def text(self):
        return self.out.decode()


_CACHE = TemporaryDirectory(prefix="upfeed-tests-")


def pytest_configure():
    """Tests leave the user's cache alone, collecting them too."""
    os.environ[VARIABLE] = _CACHE.name


def pytest_unconfigure():
    _CACHE.cleanup()


@pytest.fixture(scope="session")
def library():
    """The knowledge and the rules that come with upfeed."""
    return shipped_library()


@pytest.fixture(scope="session")
def sheet_of(library):
    """Reads a build given as a mapping; of the Tarn V8 unless it says otherwise. Raises DataFaults."""

    def read(build=None, of=library, **more):
        faults = []
        text = json.dumps({"format": 1, "family": "tarn-v8"} | (build or {}) | more)
        node = read_json(text, faults)
        sheet = read_sheet(node, of.knowledge, of.vocabulary, faults) if node else None
        if sheet is None or faults:
            raise DataFaults(faults)
        return sheet

    return read


@pytest.fixture(scope="session")
def ask(library, sheet_of):
    """Checks a build given as a mapping."""

    def answer(build=None, of=library, system="shop", samples=0, **more):
        return check(sheet_of(build, of, **more), of, system, samples)

    return answer


@pytest.fixture(scope="session")
def faults_of(sheet_of):
    """Everything wrong with a build given as a mapping, as text."""

    def told(build=None, **more):
        with pytest.raises(DataFaults) as wrong:
            sheet_of(build, **more)
        return [str(fault) for fault in wrong.value.faults]

    return told


@pytest.fixture(scope="session")
def given(library):
    """The values of a part as a build writes them."""

    def values(part, *without):
        return {
            name: value.written
            for name, value in library.knowledge.parts[part].has.items()
            if name not in without
        }

    return values


@pytest.fixture
def upfeed(monkeypatch, capsysbinary):
    """Runs the command line in this process; what checks builds makes no draws unless it is asked for some."""

    def run(*arguments, stdin=b""):
        if (
            arguments
            and arguments[0] in ("check", "compare", "sheet")
            and not {"--samples", "--help"} & set(arguments)
        ):
            arguments += ("--samples", "0")
        monkeypatch.setattr(sys, "argv", ["upfeed", *map(str, arguments)])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        with pytest.raises(SystemExit) as ended:
            cli.main()
        shown = capsysbinary.readouterr()
        return Told(ended.value.code or 0, shown.out, shown.err.decode())

    return run


@pytest.fixture
def build_file(tmp_path):
    """Writes a build and gives its path."""

    def write(text, name="build.yaml"):
        path = tmp_path / name
        path.write_text(text if isinstance(text, str) else json.dumps(text), encoding="utf-8")
        return path

    return write
