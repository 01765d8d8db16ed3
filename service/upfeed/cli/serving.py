"""Answer over HTTP."""

from pathlib import Path

import click

from upfeed.cli.options import layered


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True)
@click.option("--port", type=click.IntRange(0, 65535), default=8080, show_default=True)
@click.option(
    "--origin", multiple=True, help="A web origin that may ask from a browser, as https://shop.example."
)
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True)
@layered
def serve(
    host: str, port: int, origin: tuple[str, ...], workers: int, kb: tuple[Path, ...], rules: tuple[Path, ...]
) -> None:
    """Answer the same questions over HTTP, on this machine unless told otherwise."""
    # The web stack is loaded only here: every other command would wait for it.
    from upfeed.web.serve import serve as serve_http  # noqa: PLC0415

    try:
        serve_http(host, port, origins=origin, kb=kb, rules=rules, workers=workers)
    except (OSError, ValueError) as wrong:
        raise click.UsageError(str(wrong)) from wrong
