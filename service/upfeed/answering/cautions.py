"""What every answer says to whoever will stand beside the engine."""

CAUTIONS = (
    "Computed from sizes, not from your engine: measure before you rely on it, and check oil at every rocker"
    " and the pressure on a mechanical gauge before the engine works under load.",
    "Running engine: keep hands, hair, sleeves and leads away from belts, fan and open valve gear; fix it so that"
    " it cannot move off, and let exhaust gas out of the room. Crankcase gas poisons and can burn: lead it out too, and"
    " keep sparks and flames from breathers.",
    "Oil at running temperature burns skin, and oil under pressure goes through it. Let it cool, relieve the"
    " pressure, wear eye protection, catch the oil and hand it in as local rules say.",
    "Priming with a drill: starter and ignition disconnected, the pump's own turning direction, slow, both hands on the"
    " drill, since it snatches when pressure comes up; drill still and out before anybody turns the crank, by a bar and"
    " not by the starter, fingers off rockers and pushrods meanwhile.",
    "Cranking to bring oil up: ignition and fuel off, gear out, nobody near fan and belts, starter left to cool after"
    " each half a minute.",
    "Where the law leaves work on brakes, fuel, lifting gear or road approval to licensed people, leave it to them."
    " Not for aircraft.",
)

LEFT_OUT = (
    "Steady oil flow at one temperature for each point. Left out: oil lost past the plunger (a few per cent of a"
    " valve's oil), air in the oil (thins the feed by its share, 5-10 % at speed), churning, the rods' pumping,"
    " and the bearings warming their own oil (1-2 K at idle, 10-17 K at speed).",
    "Rough at the source: how far journals lie off centre, and so what they let by and draw (up to a tenth of hot idle;"
    " a swap's ratio moves by less than one per cent).",
    "First oil: every bore on the way up empty, and what is given as empty beside it; a lifter, gallery or filter of"
    " whose empty volume nothing is said counts as full; written down as unknown (null), it is bounded and asked for."
    " Air trapped on the way delays it further.",
    "Left out of preload: growth of gasket and rocker, and that the valve seats lie above the head's face (some"
    " hundredths of a millimetre together).",
    "Left out of the way down: bends and ledges in the drains, oil flung by the crank, air in the oil, a hollow over"
    " the pickup, and covers that lean. Oil on the walls is a film's, good to a factor of two; how much oil the gas"
    " holds up is good to a third or so. Blow-by grows with wear: measure it.",
)
"""What the model does not hold, and how much it is; sizes are estimates, no source."""


NOT_BOUNDED = (
    "A height or an offset is not known, and oil may pass at one place and at none beside it: what is computed holds at"
    " the heights tried only; its bounds may be wider."
)
"""Said when what is missing is a place."""


SPREAD = (
    "How sure: values were drawn within their stated tolerance, else within what is usual for how they came to be known"
    " (common practice or assumed, no source). Parts of one number are drawn as one batch, alike at all their valves;"
    " what one of a set differs from the next is left out, and so is what the model leaves out."
)
"""Said when draws were made."""


NOT_JUDGED = (
    "Whether the oil comes down again, or how soon it first arrives, is not judged, or not all of it: what that takes"
    " of drains, covers, valley, pan, crankcase gas and starter is not all given. The verdict stands without it; what"
    " to measure is listed."
)
"""Said when rules stay open over sizes that a check can do without."""


def sampled(corners: int) -> str:
    """Said when more is missing than all corner cases could cover."""
    return f"Much is not known: the bounds come from {corners} chosen combinations, not from all; they may be wider."
