from upfeed.judging.dimension import BARE, Word, number
from upfeed.judging.lexicon import lexicon
from upfeed.knowledge.vocabulary import Attribute, Binding, Fact, Kind, Passage, Vocabulary


def _attribute(name, quantity=None, choices=None, shown_in=""):
    return Attribute(name, quantity, choices, shown_in, "", "", "", None, None, needed=True)


def _fact(name, scope, at, quantity=None, shown_in="", *, compared=True):
    return Fact(name, quantity, quantity is None, shown_in, scope, at, compared, "", {})


LIFTER = Kind(
    "lifter",
    "",
    {},
    {
        "feed_hole": _attribute("feed_hole", "length", None, "in"),
        "metering": _attribute("metering", None, {"disc": "", "blind": ""}),
    },
    {"feed_hole": Passage("feed_hole", ("band", "body"), (), {"": Binding("hole", {})}, None)},
)
SETTINGS = Kind("settings", "", {}, {"preload": _attribute("preload", "length", None, "thou")}, {})
POINTS = Kind("points", "", {}, {"speed": _attribute("speed", "rotational_speed", None, "rpm")}, {})
FACTS = [
    _fact("gallery_pressure", "engine", "point", "pressure", "psi"),
    _fact("ways_up", "valve", "once", "count", compared=False),
    _fact("share_of_drop", "passage", "point", "ratio", "%"),
    _fact("tightest", "valve", "point"),
]
VOCABULARY = Vocabulary(
    {kind.name: kind for kind in (LIFTER, SETTINGS, POINTS)},
    {"hot_idle": "", "cruise": ""},
    {fact.name: fact for fact in FACTS},
)


def test_every_name_that_a_rule_may_read():
    values = ["lifter.feed_hole", "lifter.metering", "settings.preload"]
    facts = [
        "gallery_pressure.hot_idle",
        "gallery_pressure.cruise",
        "ways_up",
        "share_of_drop.lifter.feed_hole.hot_idle",
        "share_of_drop.lifter.feed_hole.cruise",
        "tightest.hot_idle",
        "tightest.cruise",
    ]
    ratios = [name for name in facts if name.startswith(("gallery_pressure", "share_of_drop"))]
    assert set(lexicon(VOCABULARY)) == {
        "lifter.name",
        "reference.lifter.name",
        *values,
        *facts,
        *(f"reference.{name}" for name in values + facts),
        *(f"ratio.{name}" for name in ratios),  # words and what is not compared have none
    }


def test_names_know_what_they_are_of_and_how_they_are_shown():
    names = lexicon(VOCABULARY)
    assert names["lifter.feed_hole"].type == number("length")
    assert names["lifter.feed_hole"].shown_in == "in"
    assert names["reference.settings.preload"].shown_in == "thou"
    assert names["gallery_pressure.hot_idle"].type == number("pressure")
    assert names["ratio.gallery_pressure.hot_idle"].type == BARE
    assert names["ways_up"].quantity == "count"
    assert names["lifter.metering"].type == Word(frozenset({"disc", "blind"}))
    assert names["tightest.hot_idle"].type == names["lifter.name"].type == Word(None)


def test_part_names_are_shown_as_they_are_and_other_words_in_plain_words():
    names = lexicon(VOCABULARY)
    assert names["lifter.name"].proper
    assert not names["tightest.hot_idle"].proper
    assert not names["lifter.metering"].proper


def _told_by(name, scope, told_by, **choices):
    return Fact(name, None, not choices, "", scope, "once", False, "", {}, choices or None, (), told_by)


def test_what_parts_tell_goes_by_kinds_of_parts_and_what_draws_tell_has_no_reference():
    facts = [
        _told_by("same_envelope", "part", "parts", told="", untold=""),
        _told_by("supplied_as", "engine", "parts"),
        _told_by("rough_value", "engine", "draws"),
    ]
    names = lexicon(Vocabulary(VOCABULARY.kinds, VOCABULARY.points, {fact.name: fact for fact in facts}))
    told = {name for name in names if name.partition(".")[0] not in VOCABULARY.kinds}
    assert told - {name for name in told if name.startswith(("reference.lifter", "reference.settings"))} == {
        "same_envelope.lifter",
        "reference.same_envelope.lifter",
        "supplied_as",
        "reference.supplied_as",
        "rough_value",
    }
    assert names["supplied_as"].proper
    assert not names["same_envelope.lifter"].proper
    assert {name: names[name].told_by for name in ("supplied_as", "rough_value", "lifter.feed_hole")} == {
        "supplied_as": "parts",
        "rough_value": "draws",
        "lifter.feed_hole": "flow",
    }
