"""Answer over HTTP."""

from collections.abc import Callable
from typing import Any

import click

from upfeed.cli.options import layered
from upfeed.web.limits import DEFAULTS
from upfeed.web.settings import Settings, from_options

_USUAL = Settings()
_Command = Callable[..., None]


def _setting(flag: str, variable: str, **more: Any) -> Callable[[_Command], _Command]:
    """An option that an environment variable may give as well."""
    return click.option(flag, envvar=variable, show_envvar=True, show_default=True, **more)


@click.command()
@_setting("--host", "UPFEED_HOST", default=_USUAL.host, help="The address to listen on.")
@_setting("--port", "UPFEED_PORT", type=click.IntRange(0, 65535), default=_USUAL.port)
@_setting(
    "--allowed-host",
    "UPFEED_ALLOWED_HOST",
    multiple=True,
    help="A name under which it is asked, without port; requests to others get 421. [default: this machine's own"
    " names where only it can ask, else any]",
)
@_setting(
    "--origin",
    "UPFEED_ORIGIN",
    multiple=True,
    help="A web origin that may ask from a browser, as https://shop.example.",
)
@_setting(
    "--workers",
    "UPFEED_WORKERS",
    type=click.IntRange(1, 64),
    default=_USUAL.workers,
    help="Processes that answer.",
)
@_setting(
    "--body-limit",
    "UPFEED_BODY_LIMIT",
    type=click.IntRange(1),
    default=DEFAULTS.body,
    help="Bytes of a body.",
)
@_setting(
    "--work-limit",
    "UPFEED_WORK_LIMIT",
    type=click.IntRange(1),
    default=DEFAULTS.states,
    help="States solved for one answer: engines times points times kinds of valve.",
)
@_setting(
    "--time-limit",
    "UPFEED_TIME_LIMIT",
    type=click.FloatRange(0, min_open=True),
    default=DEFAULTS.seconds,
    help="Seconds until an answer is given up.",
)
@_setting(
    "--waiting",
    "UPFEED_WAITING",
    type=click.IntRange(0),
    default=DEFAULTS.waiting,
    help="Answers that may wait in a process.",
)
@_setting(
    "--keep",
    "UPFEED_KEEP",
    type=click.IntRange(0),
    default=_USUAL.kept,
    help="Megabytes of answers that a process keeps; 0 keeps none.",
)
@_setting("--watch/--no-watch", "UPFEED_WATCH", default=True, help="Read folders anew when they change.")
@_setting(
    "--access-log/--no-access-log", "UPFEED_ACCESS_LOG", default=True, help="Write a line about each request."
)
@layered
def serve(**told: Any) -> None:
    """Answer the same questions over HTTP, on this machine unless told otherwise."""
    # The web stack is loaded only here: every other command would wait for it.
    from upfeed.web.serve import serve as serve_http  # noqa: PLC0415

    try:
        serve_http(from_options(told))
    except (OSError, ValueError) as wrong:
        raise click.UsageError(str(wrong)) from wrong
