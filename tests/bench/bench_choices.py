"""What a choice among many parts and a search for ways out cost, beside checking builds one by one.

    python tests/bench/bench_choices.py [--most 10000]

Lifters are made from the demo's by a fixed seed: sizes of holes, notches and bands moved by up to a fifth, one in ten
of a body that goes into the block, so that a tenth reaches the oil model. Times are CPU seconds of this process; the
peer is the plain check, one build after another, of which a few are timed and multiplied.
"""

import argparse
import time
from collections import Counter
from collections.abc import Callable

import numpy as np
from msgspec.structs import replace

from upfeed.advising.choosing.changes import OtherPart
from upfeed.advising.choosing.search import Search
from upfeed.advising.choosing.slotchoices import choices_for
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.library import Library, open_library
from upfeed.knowledge.build import resolve
from upfeed.knowledge.records import Part

SEED = 20261125
MOVED = ("feed_hole", "notch_area", "cup_fit", "orifice_diameter", "band_width", "feed_hole_length")
FITTING = 0.1


def main() -> None:
    """Print both tables."""
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--most", type=int, default=10_000)
    most = given.parse_args().most
    library = open_library()
    choices(library, [n for n in (100, 1000, 10_000) if n <= most])
    ways(library)


def choices(library: Library, counts: list[int]) -> None:
    """Every lifter of a catalogue for the Tarn V8, by how many there are."""
    print(
        f"{'lifters':>9}{'reach the model':>17}{'s':>9}{'ms each computed':>18}{'checked one by one, s':>24}"
    )
    seconds = []
    for count in counts:
        stocked = with_lifters(library, count)
        sheet = stocked.knowledge.families["tarn-v8"].reference
        build = resolve(sheet, stocked.knowledge, stocked.vocabulary)
        found = []
        seconds.append(timed(lambda b=build, k=stocked, f=found: f.append(choices_for(b, "lifter", k))))
        computed = [c for c in found[-1] if c.worst_valve is not None or c.fit == "cannot_tell_yet"]
        few = [OtherPart("lifter", c.part).on(sheet, build.family) for c in computed[:5]]
        alone = timed(lambda s=few, k=stocked: [check(one, k) for one in s]) / len(few) * len(computed)
        each = seconds[-1] / len(computed) * 1e3
        print(f"{count:>9}{len(computed):>17}{seconds[-1]:>9.2f}{each:>18.2f}{alone:>24.1f}", flush=True)
        print(f"{'':>9}{dict(Counter(c.fit for c in found[-1]))}")
    if len(counts) > 1:
        growth = np.polyfit(np.log(counts), np.log(seconds), 1)[0]
        print(f"grows as the count to the power of {growth:.2f}")


def ways(library: Library) -> None:
    """The search for ways out of a few builds of the demo."""
    print(f"\n{'build':<24}{'builds tried':>14}{'search, s':>11}{'one check, s':>14}{'times':>8}")
    for name in ("tarn-large-notches", "preload-lost", "six-two-ways-up", "tarn-covers-flooded"):
        sheet = read_build(f"shared/builds/{name}.yaml", library)
        searches = []

        def search(sheet=sheet, searches=searches) -> None:  # type: ignore[no-untyped-def]
            searches.append(Search(sheet, library))
            searches[-1].ways()

        whole, alone = timed(search), timed(lambda s=sheet: check(s, library))
        print(
            f"{name:<24}{searches[-1].count:>14}{whole:>11.2f}{alone:>14.3f}{whole / alone:>8.1f}", flush=True
        )


def timed(run: Callable[[], object]) -> float:
    """CPU seconds, the best of two."""
    taken = []
    for _ in range(2):
        started = time.process_time()
        run()
        taken.append(time.process_time() - started)
    return min(taken)


def with_lifters(library: Library, count: int) -> Library:
    """The library with so many lifters more, none of them the demo's own but those of references."""
    drawn = np.random.default_rng(SEED)
    own = [p for p in library.knowledge.parts.values() if p.kind == "lifter" and "body_diameter" in p.has]
    body = library.knowledge.parts["BW-118"].has["body_diameter"]
    goes_in = [p for p in own if p.has["body_diameter"].magnitude == body.magnitude and p.id.startswith("BW")]
    others = [p for p in own if p.has["body_diameter"].magnitude != body.magnitude]
    made = {}
    for i in range(count):
        like = drawn.choice(len(goes_in)) if drawn.random() < FITTING else None
        part = goes_in[like] if like is not None else others[drawn.choice(len(others))]
        made[f"X-{i:05}"] = moved(part, f"X-{i:05}", drawn)
    knowledge = replace(library.knowledge, parts={**library.knowledge.parts, **made})
    return replace(library, knowledge=knowledge)


def moved(part: Part, id_: str, drawn: np.random.Generator) -> Part:
    """A part with its small sizes a little different."""
    has = dict(part.has)
    for name in MOVED:
        if name in has and isinstance(has[name].magnitude, float):
            has[name] = replace(has[name], magnitude=has[name].magnitude * drawn.uniform(0.8, 1.2))
    return replace(part, id=id_, has=has, numbers=(), relations={})


if __name__ == "__main__":
    main()
