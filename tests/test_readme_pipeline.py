"""The README's step of a pipeline does what the README says: it passes as things stand and fails on what is new."""

import os
import subprocess
import sys
from pathlib import Path
from shutil import copy
from xml.etree import ElementTree

import pytest
import yaml

TOP = Path(__file__).parent.parent
BUILDS = TOP / "shared" / "builds"


def block(mark):
    """The fenced block of the README that follows a mark."""
    after = (TOP / "README.md").read_text(encoding="utf-8").split(f"<!-- {mark} -->\n```")[1]
    return after.partition("\n")[2].partition("```")[0]


@pytest.fixture
def shell(tmp_path):
    """Runs lines as a CI server does, in a checkout that holds builds; gives exit code and standard error."""
    command = tmp_path / "bin" / "upfeed"
    command.parent.mkdir()
    command.write_text(f"#!{sys.executable}\nfrom upfeed.cli import main\nmain()\n")
    command.chmod(0o755)
    path = os.pathsep.join([str(command.parent), os.environ["PATH"]])
    environment = os.environ | {"PATH": path, "PYTHONPATH": os.pathsep.join(sys.path)}

    def run(lines):
        ran = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", "\n".join(lines)],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            check=False,
        )
        return ran.returncode, ran.stderr.decode()

    return run


def test_the_step_passes_on_what_was_kept_and_fails_on_what_is_new(shell, tmp_path):
    (step,) = yaml.safe_load(block("pipeline")).values()
    report = tmp_path / step["artifacts"]["reports"]["junit"]
    builds = tmp_path / "builds"
    builds.mkdir()
    for name in ("thin-oil", "notch-unknown"):
        copy(BUILDS / f"{name}.yaml", builds)
    assert shell(block("keep").splitlines()) == (0, "")
    assert shell(step["script"]) == (0, "")
    assert ElementTree.parse(report).getroot().attrib["failures"] == "0"

    copy(BUILDS / "blind-lifter.yaml", builds / "thin-oil.yaml")
    code, said = shell(step["script"])
    assert code == 1
    assert said.startswith("builds/thin-oil.yaml: new: blind-lifter-ends-the-way@")
    assert ElementTree.parse(report).getroot().attrib["failures"] == "2"

    (builds / "thin-oil.yaml").write_text("format: 1\n")
    assert shell(block("keep").splitlines())[0] == 1
