"""How a service runs: what it listens on, answers for and from, and what it allows itself."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from upfeed.web.current import Source
from upfeed.web.limits import DEFAULTS, Limits

KEPT = 64
"""Megabytes of answers that a process keeps: some hundreds of checks."""


class Settings(Struct, frozen=True):
    """Settings of a service; those of the command line, by the same names."""

    host: str = "127.0.0.1"
    port: int = 8080
    origins: tuple[str, ...] = ()
    hosts: tuple[str, ...] = ()
    kb: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    workers: int = 1
    limits: Limits = DEFAULTS
    kept: int = KEPT
    watch: bool = True
    access_log: bool = True

    @property
    def source(self) -> Source:
        """Where knowledge and rules are read from."""
        return Source(tuple(map(Path, self.kb)), tuple(map(Path, self.rules)))


def from_options(told: Mapping[str, Any]) -> Settings:
    """Settings from the options of the command line, by their names."""
    return Settings(
        host=told["host"],
        port=told["port"],
        origins=told["origin"],
        hosts=told["allowed_host"],
        kb=tuple(map(str, told["kb"])),
        rules=tuple(map(str, told["rules"])),
        workers=told["workers"],
        limits=Limits(told["body_limit"], told["work_limit"], told["time_limit"], told["waiting"]),
        kept=told["keep"],
        watch=told["watch"],
        access_log=told["access_log"],
    )
