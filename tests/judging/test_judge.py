import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

from upfeed.judging.condition import Group, WeighedGroup, WeighedLine, names_of, undecided, weigh
from upfeed.judging.dimension import BARE, Word
from upfeed.judging.judge import judge
from upfeed.judging.language import compile_calculation, compile_comparison
from upfeed.judging.lexicon import RATIO, Name
from upfeed.judging.message import compile_message
from upfeed.judging.quick import quick_test
from upfeed.judging.rules import Let, Limit, Rule
from upfeed.reading.faults import Origin

TYPES = {
    "a": BARE,
    "b": BARE,
    "style": Word(frozenset({"disc", "orifice"})),
    "double": BARE,
    "limits.top": BARE,
}
NAMES = {name: RATIO if type_ == BARE else Name(type_, None, "") for name, type_ in TYPES.items()}


def line(text):
    return compile_comparison(text, TYPES)


LIMIT = Limit("limits.top", 3.0, RATIO, "", "", Origin())


def rule(when, says="a is {a}"):
    double = Let("double", compile_calculation("2 * a", TYPES), Name(BARE, "ratio", "", 2))
    return Rule(
        id="too-much",
        area="test",
        walks=(("gallery",),),
        weighs="caution",
        explains=(),
        about=(),
        why="",
        lets=(double,),
        limits={"limits.top": LIMIT},
        when=when,
        test=quick_test(when, (double,), {"limits.top": LIMIT}, TYPES),
        says=compile_message(says, NAMES),
        mend=(),
        known_limits="",
        sources=(),
        reads=names_of(when) - {"double", "limits.top"} | {"a"},
        cases=(),
        builds=(),
        origin=Origin(),
    )


class Bench(Struct, frozen=True):
    columns: dict
    asked: list
    id: str = "gallery/all"
    walk: tuple = ("gallery",)
    at: str = "all"

    def read(self, name):
        self.asked.append(name)
        return self.columns[name]


def judged(when, says="a is {a}", **columns):
    return judge(rule(when, says), Bench(columns, []))


def test_a_rule_fires_or_stays_quiet_where_all_is_known():
    assert judged(line("double > limits.top"), a=(2.0,)).outcome == "fires"
    assert judged(line("double > limits.top"), a=(1.0,)).outcome == "quiet"
    assert judged(line("double > limits.top"), a=(None,)).outcome == "unknown"


def test_a_rule_reads_exactly_the_names_it_lists():
    place = Bench({"a": (1.0,), "style": ("disc",), "b": (0.0,)}, [])
    judge(rule(Group("all", (line('style == "disc"'), line("double > limits.top")))), place)
    assert sorted(place.asked) == ["a", "style"]


def test_an_outcome_stands_only_where_all_corner_cases_agree():
    when = line("double > limits.top")
    assert judged(when, a=(2.0, 2.5)).outcome == "fires"
    assert judged(when, a=(1.0, 0.5)).outcome == "quiet"
    mixed = judged(when, a=(1.0, 2.0))
    assert mixed.outcome == "unknown"
    assert mixed.undecided == [WeighedLine(when.text, (False, True), {"double": None, "limits.top": 3.0})]
    assert mixed.blocked_by == ("a",)


def test_a_comparison_is_decided_before_it_decides_anything_else():
    within = Group("all", (line("a > 0.5"), line("a < 1.5")))  # false at both ends, true between them
    found = judged(within, a=(0.0, 2.0))
    assert found.outcome == "unknown"
    assert [part.truth for part in found.weighed.parts] == [None, None]
    assert found.blocked_by == ("a",)
    assert judged(within, a=(2.0, 3.0)).outcome == "quiet"


def test_values_and_calculations_are_kept_and_told():
    found = judged(line("double > limits.top"), "{double} or {a}", a=(2.0,))
    assert found.id == "too-much@gallery/all"
    assert found.values == {"a": 2.0}
    assert found.lets == {"double": 4.0}
    assert found.seen["limits.top"] == (3.0,)
    assert found.says() == "4 or 2"
    several = judged(line("double > limits.top"), "{double} or {a}", a=(2.0, 2.5))
    assert several.values == {"a": None}
    assert several.lets == {"double": None}
    assert several.says() == "4-5 or 2-2.5"


def test_a_finding_explains_itself_line_by_line():
    when = Group("all", (line('style == "disc"'), Group("none", (line("a < b"),))))
    found = judged(when, a=(2.0,), b=(1.0,), style=("disc",))
    assert found.weighed == WeighedGroup(
        "all",
        (
            WeighedLine('style == "disc"', (True,), {"style": "disc"}),
            WeighedGroup("none", (WeighedLine("a < b", (False,), {"a": 2.0, "b": 1.0}),)),
        ),
    )


def test_only_what_could_still_decide_blocks():
    when = Group("all", (line('style == "disc"'), Group("any", (line("a > 1"), line("b > 1")))))
    found = judged(when, a=(2.0,), b=(None,), style=(None,))
    assert found.outcome == "unknown"
    assert found.blocked_by == ("style",)  # a decides its group, so b need not be known
    assert judged(when, a=(0.0,), b=(None,), style=(None,)).blocked_by == ("b", "style")
    assert judged(when, a=(None,), b=(None,), style=("orifice",)).outcome == "quiet"


def test_what_is_not_defined_is_blocked_by_all_it_reads():
    found = judged(line("a / b > 1"), a=(1.0,), b=(0.0,))
    assert found.outcome == "unknown"
    assert found.blocked_by == ("a", "b")


def test_places_give_as_many_values_for_every_name():
    with pytest.raises(ValueError, match="zip"):
        judged(line("a > b"), a=(1.0, 2.0), b=(1.0,))


lines = st.sampled_from(
    ["a > 1", "b <= 1", "a == b", 'style == "disc"', "double > limits.top", "a / b > 0"]
).map(line)
conditions = st.recursive(
    lines,
    lambda inner: st.builds(
        Group, st.sampled_from(["all", "any", "none"]), st.lists(inner, min_size=1, max_size=3).map(tuple)
    ),
    max_leaves=8,
)
numbers = st.sampled_from([None, 0.0, 1.0, 1.5, 1.5 * (1 + 1e-12), 2.0])
words = st.sampled_from([None, "disc", "orifice"])
corners = st.lists(
    st.fixed_dictionaries({"a": numbers, "b": numbers, "style": st.sampled_from([None, "disc", "orifice"])}),
    min_size=1,
    max_size=4,
)


def two_valued(when, reading):
    if not isinstance(when, Group):
        a, b = reading["a"], reading["b"]
        return {
            "a > 1": lambda: a > 1,
            "b <= 1": lambda: b <= 1,
            "a == b": lambda: a == b,
            'style == "disc"': lambda: reading["style"] == "disc",
            "double > limits.top": lambda: 2 * a > 3,
            "a / b > 0": lambda: a / b > 0,
        }[when.text]()
    parts = [two_valued(part, reading) for part in when.parts]
    return {"all": all(parts), "any": any(parts), "none": not any(parts)}[when.by]


@given(
    conditions,
    st.fixed_dictionaries({"a": st.sampled_from([1.0, 2.0, 3.0]), "b": st.sampled_from([1.0, 2.0])}),
)
def test_where_all_is_known_three_values_say_what_two_say(when, reading):
    reading = reading | {"style": "disc"}
    found = judged(when, **{name: (value,) for name, value in reading.items()})
    assert found.outcome == ("fires" if two_valued(when, reading) else "quiet")


@given(conditions, corners, st.sampled_from(["a", "b", "style"]))
def test_taking_a_measurement_away_changes_an_outcome_only_to_unknown(when, read, missing):
    columns = {name: tuple(corner[name] for corner in read) for name in ("a", "b", "style")}
    before = judged(when, **columns).outcome
    after = judged(when, **columns | {missing: (None,) * len(read)}).outcome
    assert after in {before, "unknown"}


@given(conditions, corners)
def test_an_unknown_outcome_always_says_what_it_waits_for(when, read):
    columns = {name: tuple(corner[name] for corner in read) for name in ("a", "b", "style")}
    found = judged(when, **columns)
    assert bool(found.blocked_by) is (found.outcome == "unknown")
    assert set(found.blocked_by) <= found.rule.reads


@pytest.mark.no_cover
@settings(max_examples=5_000, derandomize=True, deadline=None)
@given(conditions, st.fixed_dictionaries({"a": numbers, "b": numbers, "style": words}))
def test_the_quick_test_gives_the_truth_that_weighing_gives(when, reading):
    found = judged(when, **{name: (value,) for name, value in reading.items()})
    quick = found.rule.test({name: reading[name] for name in found.rule.reads})
    assert {True: "fires", False: "quiet", None: "unknown"}[quick] == found.outcome


def test_undecided_lines_of_a_decided_condition_are_none():
    weighed = weigh(Group("any", (line("a > 1"), line("b > 1"))), [{"a": 2.0, "b": None}])
    assert undecided(weighed) == []
    assert weighed.truth is True
