"""What a turn of an adjuster does at the lifter's cup, and how many set the preload."""

from collections.abc import Iterator
from typing import Literal

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import Adjuster, Number
from upfeed.advising.sheet.figures import Teller
from upfeed.answering.evidence import Evidence
from upfeed.flow.survey import Survey
from upfeed.knowledge.build import Build, Fitted
from upfeed.physics.adjuster import per_turn_of_nut, turns
from upfeed.reading import units

NO_PITCH = (
    "the adjuster's thread is not given: lay a thread gauge on it, or measure over ten threads with calipers and divide"
    " by ten, and give it with --pitch (1.25 mm, say, or 1/24 in for 24 threads an inch)"
)
NO_ORIGIN = "where preload comes from is not known"
BY_HEIGHTS = "preload follows from the heights of the parts here; another pushrod changes it, no turns do"
SCREW_BY_HEIGHTS = (
    "the rockers have an adjusting screw, but preload is told here from the heights of the parts: with settings,"
    " preload_from: set, and the preload wanted, turns are told"
)
NO_MOUNT = "how the rockers are held is not given: look whether a nut on a stud or a screw over the pushrod sets them"
NO_SCREW = (
    "the rocker stands at a fixed height and has no adjusting screw: the pushrod's length alone sets preload"
)
MAYBE_A_SCREW = (
    "can't tell whether anything turns here: look at the rocker's end over the pushrod; a screw with a locknut sets"
    " preload, without one the pushrod's length alone does. Give it as the rocker's adjusting_screw: fitted or none"
)
NO_RATIO = "the rocker's ratio is not known, by which a turn of the nut moves the cup"
UNLIKE = "not the same at all valves; see each valve's turns"

_TEN_THOU = units.parse("10 thou", "length")

Turned = Literal["nut", "screw"]


def adjuster(survey: Survey, evidence: Evidence, bench: Bench, tell: Teller) -> Adjuster:
    """How preload is set in a build."""
    build = survey.build
    comes_from = build.settings.get("preload_from")
    each = {_per_turn(survey, valve, bench) for valve in range(len(build.family.plan.valves))}
    per_turn, lacks = each.pop() if len(each) == 1 else (None, UNLIKE)
    no_thread = lacks if lacks in {NO_SCREW, BY_HEIGHTS} else NO_PITCH
    return Adjuster(
        preload_from=str(comes_from.magnitude) if comes_from else None,
        mounts=list(dict.fromkeys(_words(build, "mount"))),
        adjusting_screws=list(dict.fromkeys(_words(build, "adjusting_screw"))),
        pitch=tell.number("pitch", bench.pitch, "length", "in", None, no_thread),
        per_turn=tell.number("per_turn", per_turn, "length", "thou", None, lacks),
        ten_thou_of_pushrod=_pushrod(evidence, lacks, tell),
    )


def _pushrod(evidence: Evidence, no_turns: str, tell: Teller) -> Number:
    """What ten thou more of pushrod add: all of it where nothing else sets preload, whatever it was told from."""
    told = tell.fact(evidence.least("preload_per_pushrod"))
    if no_turns == NO_SCREW:
        return tell.number(told.name, _TEN_THOU, "length", "thou")
    if no_turns == MAYBE_A_SCREW:
        return tell.number(told.name, None, "length", "thou", None, MAYBE_A_SCREW)
    return told


def turns_at(survey: Survey, valve: int, bench: Bench, tell: Teller) -> Number:
    """Turns from no play and no preload to the cold preload of a valve; below zero they are turned back, for lash."""
    per_turn, lacks = _per_turn(survey, valve, bench)
    cold = survey.known("cold_preload", valve)
    known = isinstance(cold[0], float) and len(set(cold)) == 1
    value = float(turns(cold[0], per_turn)) if per_turn and known and isinstance(cold[0], float) else None
    return tell.number(
        "turns", value, "ratio", "", None, lacks if per_turn is None else "preload is not known"
    )


def _per_turn(survey: Survey, valve: int, bench: Bench) -> tuple[float | None, str]:
    """How far a turn moves the cup of a valve's lifter, m, or why that is not known."""
    build = survey.build
    turned, lacks = _turned(build.at("rocker", valve) if "rocker" in build.fitted else None)
    comes_from = build.settings.get("preload_from")
    if comes_from is None:
        return None, NO_ORIGIN
    if comes_from.magnitude != "set":
        return None, SCREW_BY_HEIGHTS if turned == "screw" else BY_HEIGHTS
    if turned is None:
        return None, lacks
    if bench.pitch is None:
        return None, NO_PITCH
    return (bench.pitch, "") if turned == "screw" else _by_nut(survey, valve, bench.pitch)


def _turned(rocker: Fitted | None) -> tuple[Turned | None, str]:
    """What is turned to set preload at a rocker, or why nothing is known to be."""
    mount, screw = (_word(rocker, name) for name in ("mount", "adjusting_screw"))
    if mount == "stud":
        return "nut", ""
    if screw == "fitted":
        return "screw", ""
    if mount is None:
        return None, NO_MOUNT
    return None, NO_SCREW if screw == "none" else MAYBE_A_SCREW


def _by_nut(survey: Survey, valve: int, pitch: float) -> tuple[float | None, str]:
    ratios = set(survey.known("rocker.ratio", valve))
    ratio = ratios.pop() if len(ratios) == 1 else None
    return (float(per_turn_of_nut(pitch, ratio)), "") if isinstance(ratio, float) else (None, NO_RATIO)


def _words(build: Build, name: str) -> Iterator[str]:
    """What the rockers' files say of a choice, rocker by rocker."""
    words = (_word(rocker, name) for rocker in build.fitted.get("rocker", ()))
    return (word for word in words if word is not None)


def _word(rocker: Fitted | None, name: str) -> str | None:
    value = rocker.has.get(name) if rocker else None
    return str(value.magnitude) if value else None
