"""What several questions about builds take: units, draws, and the builds themselves."""

from typing import Any

from upfeed.answering.check import MOST_SAMPLES, SAMPLES
from upfeed.web.dotted import STEP
from upfeed.web.examples import example_builds
from upfeed.web.operation import Body, Open, Parameter, choice, ident_schema, whole_number
from upfeed.web.valueschema import whole

UNITS = choice("units", "Whose units sentences and shown values use.", ("shop", "si"))

_DRAWS = "Draws of the values within their spread, to tell how sure the answer is; 0 makes none."


def draws(default: int) -> Parameter:
    """How many draws to make."""
    return whole_number("samples", _DRAWS, MOST_SAMPLES, default)


DRAWS = draws(SAMPLES)
NO_DRAWS = draws(0)


BUILD = Body("Build", "A build as a file holds it, as JSON; quantities are text with a unit.", example_builds)


_OTHERS = "units|samples|mends"
_NAME = rf"(?!(?:{_OTHERS})$)(?=[a-z]){STEP}(?:\.{STEP})*"
BUILD_IN_QUERY = Open(
    name="in_query",
    description=(
        "The build, a parameter for each thing it says, named by its path with dots: `family`; a slot's part by the"
        " slot (`lifter=BW-118`), sizes below it (`lifter.feed_hole=0.052 in`), `lifter@3-intake` for the slot at some"
        " valves (a cylinder, a valve's name, or both); `settings.preload`, `points.hot_idle.speed`, `name`, `build`,"
        " `as_of`; `open` with commas between slots; `accepts.1.finding` and so on. More about a value stands below it:"
        " `settings.preload.plus_minus`, `standing`, `source`, `note`. A value left empty is not known. A table has"
        " commas between the two of a reading and semicolons between readings."
    ),
    expected="what a build says, as family, lifter, lifter.feed_hole or settings.preload",
    pattern=_NAME,
    schema={
        "type": "object",
        "required": ["family"],
        "properties": {"family": ident_schema()},
        "propertyNames": {"pattern": whole(_NAME)},
        "additionalProperties": {"type": "string"},
        "examples": [{"family": "tarn-v8", "lifter": "BW-118", "settings.preload": "30 thou"}],
    },
)


def _pair() -> dict[str, Any]:
    builds = example_builds(("reference", "blind-lifter", "preload-lost"))
    first, *others = builds.values()
    return {id_: {"first": first, "second": other} for id_, other in zip([*builds][1:], others, strict=True)}


def _several() -> dict[str, Any]:
    good, bad = example_builds(("blind-lifter",))["blind-lifter"], {"format": 1, "family": "tarn-v9"}
    return {"one-good-one-bad": {"builds": [good, bad]}}


def _readings() -> dict[str, Any]:
    build = example_builds(("reference",))["reference"]
    hot = ["650 rpm, 100 C, 14 psi", "2000 rpm, 100 C, 38 psi"]
    return {"low-at-hot-idle": {"build": build, "readings": hot, "error": "1 psi"}}


TWO_BUILDS = Body("TwoBuilds", "Two builds as files hold them, as JSON.", _pair)
BUILDS = Body(
    "Builds", "Builds as files hold them, as JSON, in the order in which they are answered.", _several
)
GAUGED = Body("GaugedBuild", "A build as a file holds it, and what gauges on it read.", _readings)
