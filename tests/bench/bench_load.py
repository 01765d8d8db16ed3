"""How long a catalogue takes to load from YAML and from the cache, how much memory, and how both grow.

    python tests/bench/bench_load.py [--most 100000]

Each size is loaded in processes of its own: once from YAML, filling a cache, then from that cache.
"""

import argparse
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SIZES = (1_000, 3_000, 10_000, 30_000, 100_000)
PARTS_A_FILE = 2_000
PART = """\
  - part: GEN-{i}
    kind: pushrod
    name: generated pushrod {i}
    maker: Generated
    numbers: ["{i:06d}"]
    relations: {{designed_for: [tarn-v8], same_envelope_as: [GEN-{other}]}}
    has:
      material: steel
      length: {{is: {length:.2f} in, plus_minus: 0.002 in}}
      bore: {bore:.1f} mm
      outer_diameter: 5/16 in
"""


def write_catalogue(folder: Path, count: int) -> None:
    """Files of generated pushrods."""
    folder.mkdir()
    for first in range(0, count, PARTS_A_FILE):
        rows = [
            PART.format(i=i, other=i * 7 % count, length=7 + i % 100 / 100, bore=3 + i % 7 / 10)
            for i in range(first, min(first + PARTS_A_FILE, count))
        ]
        head = "format: 1\nstanding: published\nsource: common-practice\nparts:\n"
        (folder / f"parts-{first:06d}.yaml").write_text(head + "".join(rows), encoding="utf-8")


def load_once(folder: Path, cache: Path) -> None:
    """Load in this process and print what it took."""
    from upfeed.knowledge.load import Layer, load  # noqa: PLC0415
    from upfeed.knowledge.vocabularyfile import read_vocabulary  # noqa: PLC0415
    from upfeed.reading.cache import Cache  # noqa: PLC0415 - imports are not what is measured
    from upfeed.reading.folders import data_folder  # noqa: PLC0415

    vocabulary = read_vocabulary(data_folder("shared") / "vocabulary")
    layers = [Layer("base", data_folder("kb")), Layer("generated", folder)]
    before = _memory()
    begun = time.perf_counter()
    loaded = load(layers, vocabulary, Cache(cache))
    part = loaded.knowledge.parts["GEN-7"]
    took = time.perf_counter() - begun
    assert part.has["bore"].written
    print(json.dumps({"seconds": took, "megabytes": _memory() - before}))


def _memory() -> float:
    """Peak of this process, in MB (Linux counts in KiB, macOS in bytes)."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)


def measured(folder: Path, cache: Path) -> dict[str, float]:
    """What one loading took in a fresh process."""
    command = [sys.executable, __file__, "--load", str(folder), str(cache)]
    found: dict[str, float] = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    return found


def exponent(sizes: list[int], seconds: list[float]) -> float:
    """The power of the number of parts that seconds grow with: least squares through the logarithms."""
    x, y = [math.log(size) for size in sizes], [math.log(each) for each in seconds]
    mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
    above = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True))
    return above / sum((a - mean_x) ** 2 for a in x)


def main() -> None:
    """Run one loading, or the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--most", type=int, default=SIZES[-1], help="largest number of parts")
    asked.add_argument("--load", nargs=2, type=Path, help=argparse.SUPPRESS)
    chosen = asked.parse_args()
    if chosen.load:
        load_once(*chosen.load)
        return
    sizes = [size for size in SIZES if size <= chosen.most]
    rows = []
    print(f"{'parts':>8} {'YAML s':>8} {'cache s':>8} {'YAML MB':>8} {'cache MB':>8}")
    for size in sizes:
        with tempfile.TemporaryDirectory() as top:
            folder, cache = Path(top) / "parts", Path(top) / "cache"
            write_catalogue(folder, size)
            fresh, again = measured(folder, cache), measured(folder, cache)
        rows.append((fresh["seconds"], again["seconds"]))
        memory = f"{fresh['megabytes']:8.0f} {again['megabytes']:8.0f}"
        print(f"{size:8} {fresh['seconds']:8.2f} {again['seconds']:8.3f} {memory}")
    if len(sizes) > 1:
        from_yaml, from_cache = zip(*rows, strict=True)
        print(f"grows with parts to the power of {exponent(sizes, list(from_yaml)):.2f} from YAML,")
        print(f"{exponent(sizes, list(from_cache)):.2f} from the cache")


if __name__ == "__main__":
    main()
