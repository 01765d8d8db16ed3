"""What several commands take, and what they tell the shell."""

from collections.abc import Callable
from pathlib import Path

import click

FINDINGS, UNUSABLE, CANNOT_TELL = 1, 2, 3
"""Exit codes beside 0: findings at or above the asked weight, input that can't be used, not enough known."""

_Command = Callable[..., None]


def layered(command: _Command) -> _Command:
    """Options that lay a shop's own folders over what comes with upfeed."""
    folder = click.Path(file_okay=False, path_type=Path)
    kb = click.option(
        "--kb",
        multiple=True,
        type=folder,
        envvar="UPFEED_KB",
        show_envvar=True,
        help="A folder of knowledge laid over the base.",
    )
    rules = click.option(
        "--rules",
        multiple=True,
        type=folder,
        envvar="UPFEED_RULES",
        show_envvar=True,
        help="A folder of rules laid over the base.",
    )
    return kb(rules(command))
