"""Settings by flags and by environment."""

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from upfeed.cli import cli
from upfeed.web.limits import Limits
from upfeed.web.settings import Settings

GIVEN = Settings(
    host="0.0.0.0",
    port=8600,
    origins=("https://a.example", "https://b.example"),
    hosts=("oil.example", "feed.example"),
    kb=("shop", "bench"),
    rules=("own",),
    workers=3,
    limits=Limits(body=1000, states=2000, seconds=2.5, waiting=0),
    kept=8,
    watch=False,
    access_log=False,
)


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[Settings]:
    asked: list[Settings] = []
    monkeypatch.setattr("upfeed.web.serve.serve", asked.append)
    return asked


def run(*arguments: str, **environment: str) -> Any:
    return CliRunner().invoke(cli, ["serve", *arguments], env=environment)


def test_nothing_given(served: list[Settings]) -> None:
    assert run().exit_code == 0
    assert served == [Settings()]


def test_all_by_flags(served: list[Settings]) -> None:
    flags = (
        "--host 0.0.0.0 --port 8600 --origin https://a.example --origin https://b.example"
        " --allowed-host oil.example --allowed-host feed.example --kb shop --kb bench --rules own --workers 3"
        " --body-limit 1000 --work-limit 2000 --time-limit 2.5 --waiting 0 --keep 8 --no-watch --no-access-log"
    )
    assert run(*flags.split()).exit_code == 0
    assert served == [GIVEN]


BY_ENVIRONMENT = {
    "UPFEED_HOST": "0.0.0.0",
    "UPFEED_PORT": "8600",
    "UPFEED_ORIGIN": "https://a.example https://b.example",
    "UPFEED_ALLOWED_HOST": "oil.example feed.example",
    "UPFEED_KB": "shop:bench",
    "UPFEED_RULES": "own",
    "UPFEED_WORKERS": "3",
    "UPFEED_BODY_LIMIT": "1000",
    "UPFEED_WORK_LIMIT": "2000",
    "UPFEED_TIME_LIMIT": "2.5",
    "UPFEED_WAITING": "0",
    "UPFEED_KEEP": "8",
    "UPFEED_WATCH": "0",
    "UPFEED_ACCESS_LOG": "0",
}


def test_all_by_environment(served: list[Settings]) -> None:
    assert run(**BY_ENVIRONMENT).exit_code == 0
    assert served == [GIVEN]


def test_a_flag_goes_before_the_environment(served: list[Settings]) -> None:
    assert run("--port", "9", **BY_ENVIRONMENT).exit_code == 0
    assert served[0].port == 9


def test_every_variable_is_told_to_those_who_run_it() -> None:
    told = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text()
    for name in BY_ENVIRONMENT:
        assert f"`{name}`" in told


@pytest.mark.parametrize(
    "flags", ["--workers 0", "--time-limit 0", "--body-limit 0", "--waiting -1", "--port 65536", "--keep -1"]
)
def test_values_that_make_no_sense(served: list[Settings], flags: str) -> None:
    assert run(*flags.split()).exit_code == 2
    assert served == []
