"""Findings and answers made up, where only what is told of them matters."""

from msgspec import Struct

from upfeed.answering.answer import Accepted, Answer, BuildEcho, Digests, Figure, Finding, Place, Unknown
from upfeed.answering.check import UNDRAWN

TAKEN = Accepted("wanted so", "M. Pellow", "2027-06-30", None)


class Made(Struct, frozen=True):
    """What tests set of a finding."""

    id: str = "less-oil@gallery-lifter/all"
    weighs: str = "caution"
    figure: Figure | None = None
    accepted: Accepted | None = None
    says: str = "Less oil than designed."
    why: str = "Oil cools."

    @property
    def finding(self):
        rule, _, place = self.id.partition("@")
        return Finding(
            id=self.id,
            rule=rule,
            weighs=self.weighs,
            place=Place(place, ["gallery", "lifter"], place.rpartition("/")[2]),
            says=self.says,
            why=self.why,
            values=[],
            computed=[],
            explains=[],
            against=[],
            mends=[],
            figure=self.figure,
            accepted=self.accepted,
            lapsed=None,
            sources=[],
            holds_in=None,
        )


def figure(value, worse_with="more", name="times"):
    return Figure(name, value, "1", f"{value:g} times", worse_with)


def made(*findings, untold=(), blocks=()):
    """An answer with these findings, which can't be told yet where any rule is untold."""
    verdict = "cannot_tell_yet" if untold else "go_with_care" if findings else "go"
    return Answer(
        format=1,
        verdict=verdict,
        decided_by=list(untold) or [finding.id for finding in findings],
        as_of=None,
        digests=Digests("p", "k", "r", "b"),
        build=BuildEcho("b", "tarn-v8", [], []),
        findings=[finding.finding for finding in findings],
        unknown=[Unknown("lifter.notch_area", "lifter", "all", list(blocks), "Measure it.")]
        if blocks
        else [],
        points=[],
        path=[],
        timing=[],
        preload=[],
        priming=[],
        how_sure=UNDRAWN,
        measure_first=[],
        cautions=[],
    )
