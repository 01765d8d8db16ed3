"""Print the bench sheet of a build."""

import sys
from typing import Any

import click

from upfeed.advising.sheet.asking import read_bench
from upfeed.advising.sheet.making import bench_sheet
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.cli.options import CANNOT_TELL, layered
from upfeed.judging.message import System
from upfeed.text.benchsheet import bench_sheet as printed


@click.command()
@click.argument("build")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.option("--units", type=click.Choice(["shop", "si"]), default="shop", show_default=True)
@click.option(
    "--samples",
    type=click.IntRange(0, MOST_SAMPLES),
    default=SAMPLES,
    show_default=True,
    help="Draws of the values within their spread, for bands and for what to measure first; 0 makes none.",
)
@click.option(
    "--pitch", help="Pitch of the adjusters' thread, as 1.25 mm, or 1/24 in for 24 threads an inch."
)
@click.option(
    "--bench-pressure", help="Pressure of the bench that catches oil (40 psi), where a part has none."
)
@click.option("--bench-temperature", help="Temperature of its oil (40 C), which is taken to be the engine's.")
@layered
def sheet(build: str, form: str, units: System, samples: int, **given: Any) -> None:
    """Print the bench sheet of BUILD, a YAML or JSON file (- reads standard input).

    What to measure with what, in the order in which it matters, with go and no-go pins or oil caught in 60 s; how the
    band stands, preload and the adjuster's turns; priming, first start, what to do after 20 minutes.

    Exit codes: 0 the sheet is whole; 2 input that can't be used; 3 something that nobody has measured is missing on it.
    """
    bench = read_bench(given["pitch"], given["bench_pressure"], given["bench_temperature"])
    library = open_library(given["kb"], given["rules"])
    told = bench_sheet(read_build(build, library), library, units, samples, bench)
    if form == "json":
        sys.stdout.buffer.write(encode(told))
    else:
        click.echo(printed(told), nl=False)
    sys.exit(CANNOT_TELL if told.verdict == "cannot_tell_yet" else 0)
