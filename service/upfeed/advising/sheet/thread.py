"""What a turn of an adjuster does at the lifter's cup, and how many set the preload."""

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import Adjuster, Number
from upfeed.advising.sheet.figures import Teller
from upfeed.answering.evidence import Evidence
from upfeed.flow.survey import Survey
from upfeed.physics.adjuster import per_turn_of_nut, turns

NO_PITCH = (
    "the adjuster's thread is not given: lay a thread gauge on it, or measure over ten threads with calipers and divide"
    " by ten, and give it with --pitch (1.25 mm, say, or 1/24 in for 24 threads an inch)"
)
BY_HEIGHTS = "preload follows from the heights of the parts here; another pushrod changes it, no turns do"
NO_MOUNT = "how the rockers are held is not given: look whether a nut on a stud or a screw over the pushrod sets them"
FIXED = "the rocker stands at a fixed height: another pushrod changes preload, no turns do"
UNLIKE = "not the same at all valves; see each valve's turns"


def adjuster(survey: Survey, evidence: Evidence, bench: Bench, tell: Teller) -> Adjuster:
    """How preload is set in a build."""
    build = survey.build
    comes_from, row = build.settings.get("preload_from"), build.fitted.get("rocker", ())
    mounts = dict.fromkeys(str(f.has["mount"].magnitude) for f in row if f and "mount" in f.has)
    each = {_per_turn(survey, valve, bench) for valve in range(len(build.family.plan.valves))}
    per_turn, lacks = each.pop() if len(each) == 1 else (None, UNLIKE)
    return Adjuster(
        preload_from=str(comes_from.magnitude) if comes_from else None,
        mounts=list(mounts),
        pitch=tell.number("pitch", bench.pitch, "length", "in", None, NO_PITCH),
        per_turn=tell.number("per_turn", per_turn, "length", "thou", None, lacks),
        ten_thou_of_pushrod=tell.fact(evidence.least("preload_per_pushrod")),
    )


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
    comes_from, rocker = build.settings.get("preload_from"), None
    if comes_from is None or comes_from.magnitude != "set":
        return None, BY_HEIGHTS if comes_from else "where preload comes from is not known"
    if "rocker" in build.fitted:
        rocker = build.at("rocker", valve)
    mount = rocker.has.get("mount") if rocker else None
    ratio = survey.known("rocker.ratio", valve)[0] if rocker else None
    if mount is None or not isinstance(ratio, float):
        return None, NO_MOUNT
    if mount.magnitude == "pedestal":
        return None, FIXED
    if bench.pitch is None:
        return None, NO_PITCH
    return float(per_turn_of_nut(bench.pitch, ratio)) if mount.magnitude == "stud" else bench.pitch, ""
