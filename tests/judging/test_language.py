import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.judging.dimension import BARE, Word, number
from upfeed.judging.language import compile_calculation, compile_comparison
from upfeed.judging.syntax import DEEPEST, LONGEST, LanguageFault

METERING = Word(frozenset({"disc", "clearance", "orifice", "blind"}))
TYPES = {
    "lifter.feed_hole": number("length"),
    "reference.lifter.feed_hole": number("length"),
    "lifter.notch_area": number("area"),
    "lifter.metering": METERING,
    "lifter.name": Word(None),
    "rocker.pivot": Word(frozenset({"ball", "needle"})),
    "gallery_pressure.hot_idle": number("pressure"),
    "limits.pressure": number("pressure"),
    "oil.temperature": number("temperature"),
    "head.temperature": number("temperature"),
    "pan.temperature": number("temperature"),
    "camshaft.spread": number("angle"),
    "top_end_flow.hot_idle": number("flow"),
    "ratio.top_end_flow.hot_idle": BARE,
    "limits.flow_ratio": BARE,
    "ways_up": BARE,
}


def holds(text, **readings):
    return compile_comparison(text, TYPES).run(
        {name.replace("__", "."): value for name, value in readings.items()}
    )


def worth(text, **readings):
    return compile_calculation(text, TYPES).run(
        {name.replace("__", "."): value for name, value in readings.items()}
    )


def faults_of(text, compile_=compile_comparison):
    with pytest.raises(LanguageFault) as caught:
        compile_(text, TYPES)
    return caught.value


def test_the_area_ratio_of_two_drills():
    text = "area(lifter.feed_hole) / area(reference.lifter.feed_hole)"
    ratio = worth(text, lifter__feed_hole=0.066 * 0.0254, reference__lifter__feed_hole=0.052 * 0.0254)
    assert ratio == pytest.approx(66**2 / 52**2, rel=1e-12)  # areas go as the square of diameters


def test_the_area_of_a_circle():
    assert worth("area(lifter.feed_hole)", lifter__feed_hole=2.0) == pytest.approx(math.pi, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 + 2 * 3", 7),
        ("(1 + 2) * 3", 9),
        ("-2 - -3", 1),
        ("7 / 2 / 2", 1.75),
        ("max(1, 3, 2) - min(3, 1, 2)", 2),
        ("abs(-2) + sqrt(9)", 5),
        ("sqrt(area(lifter.feed_hole) * area(lifter.feed_hole)) / lifter.notch_area", 1),
    ],
)
def test_arithmetic(text, expected):
    readings = {"lifter__feed_hole": 2.0, "lifter__notch_area": math.pi}
    assert worth(text, **readings) == pytest.approx(expected, rel=1e-14)


def test_comparisons_of_numbers():
    for sign, outcome in (
        ("<", True),
        ("<=", True),
        ("==", False),
        ("!=", True),
        (">=", False),
        (">", False),
    ):
        assert holds(f"ratio.top_end_flow.hot_idle {sign} limits.flow_ratio", **_flows(1.2, 1.5)) is outcome
        assert holds(f"limits.flow_ratio {sign} ratio.top_end_flow.hot_idle", **_flows(1.5, 1.2)) is outcome


def test_a_quotient_reaches_its_limit_within_rounding():
    assert holds("ratio.top_end_flow.hot_idle / 1.1 >= limits.flow_ratio", **_flows(1.43, 1.3)) is True
    assert holds("ratio.top_end_flow.hot_idle / 1.1 > limits.flow_ratio", **_flows(1.43, 1.3)) is False
    assert holds("ratio.top_end_flow.hot_idle / 1.1 == limits.flow_ratio", **_flows(1.43, 1.3)) is True
    assert holds("ratio.top_end_flow.hot_idle / 1.1 < limits.flow_ratio", **_flows(1.43, 1.3)) is False


def test_comparisons_of_words():
    assert holds('lifter.metering == "disc"', lifter__metering="disc") is True
    assert holds('"disc" != lifter.metering', lifter__metering="disc") is False
    assert holds('lifter.metering in ("disc", "orifice")', lifter__metering="orifice") is True
    assert holds('lifter.metering not in ("disc", "orifice")', lifter__metering="orifice") is False
    assert holds('lifter.metering in ("disc",)', lifter__metering="blind") is False
    assert holds('lifter.name == "Brackwater 118"', lifter__name="Brackwater 118") is True


def test_an_unknown_operand_makes_a_line_unknown_and_absent_is_the_same_as_null():
    assert holds('lifter.metering == "disc"', lifter__metering=None) is None
    assert holds('lifter.metering != "disc"') is None
    assert holds('lifter.metering not in ("disc", "blind")') is None
    assert holds("ratio.top_end_flow.hot_idle >= limits.flow_ratio", **_flows(None, 1.3)) is None
    assert holds("ways_up * 0 == 0") is None
    assert worth("max(ways_up, 3)") is None
    assert worth("abs(-area(lifter.feed_hole))") is None


@pytest.mark.parametrize(
    "text", ["1 / ways_up", "1 / (ways_up - ways_up)", "sqrt(ways_up - 1)", "1e300 * 1e300"]
)
def test_what_is_not_defined_is_unknown_and_never_nan(text):
    assert worth(text, ways_up=0.0) is None


@pytest.mark.parametrize("reading", [math.nan, math.inf, -math.inf])
def test_readings_that_are_no_numbers_are_unknown(reading):
    assert worth("ways_up", ways_up=reading) is None
    assert holds("ways_up == ways_up", ways_up=reading) is None


def test_readings_of_the_wrong_type_are_a_programming_error():
    with pytest.raises(TypeError, match="ways_up holds a number"):
        holds("ways_up == 0", ways_up="0")
    with pytest.raises(TypeError, match=r"lifter\.metering holds a word"):
        holds('lifter.metering == "disc"', lifter__metering=1.0)


def test_a_line_lists_the_names_it_reads():
    line = compile_comparison("area(lifter.feed_hole) >= 2 * lifter.notch_area", TYPES)
    assert line.names == {"lifter.feed_hole", "lifter.notch_area"}
    assert compile_calculation("2 * ways_up", TYPES).names == {"ways_up"}


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("area(lifter.feed_hole)", "area"),
        ("sqrt(lifter.notch_area)", "length"),
        ("lifter.notch_area / lifter.feed_hole", "length"),
        ("lifter.feed_hole / reference.lifter.feed_hole", "ratio"),
        ("top_end_flow.hot_idle / lifter.notch_area * 1.5", None),
        ("-camshaft.spread", "angle"),
        ("max(gallery_pressure.hot_idle, limits.pressure)", "pressure"),
    ],
)
def test_dimensions_follow_the_arithmetic(text, quantity):
    type_ = compile_calculation(text, TYPES).type
    if quantity is None:
        assert str(type_) == "a number in m s^-1"
    else:
        assert type_.dimension == number(quantity).dimension


def test_temperatures_compare_and_differ_but_do_not_add_up():
    assert (
        holds("oil.temperature > head.temperature", oil__temperature=373.0, head__temperature=363.0) is True
    )
    text = "oil.temperature - head.temperature > head.temperature - pan.temperature"
    assert holds(text, oil__temperature=380.0, head__temperature=370.0, pan__temperature=365.0) is True
    for text in (
        "oil.temperature + head.temperature",
        "2 * oil.temperature",
        "oil.temperature / head.temperature",
        "-oil.temperature",
        "abs(oil.temperature)",
    ):
        assert "a temperature in a calculation" in str(faults_of(text, compile_calculation))
    against = faults_of("oil.temperature - head.temperature > pan.temperature")
    assert "a temperature difference against a temperature" in str(against)


def test_a_line_may_be_as_long_as_is_said_and_no_longer():
    line = "ways_up > 1"
    compile_comparison(line.ljust(LONGEST), TYPES)
    told = faults_of(line.ljust(LONGEST + 1))
    (mistake,) = told.mistakes
    assert (mistake.found, mistake.expected) == (f"{LONGEST + 1} characters", f"at most {LONGEST}")
    assert (told.text, mistake.start, mistake.end) == (line.ljust(40), 0, 40)
    assert faults_of("\u0007" + line.ljust(LONGEST)).text == ""


def test_a_line_may_be_only_so_deep():
    """Python's tree has the comparison on top and two levels of a name below the calls."""
    within = "abs(" * (DEEPEST - 3) + "ways_up" + ")" * (DEEPEST - 3) + " > 1"
    compile_comparison(within, TYPES)
    (mistake,) = faults_of(f"abs({within[:-4]}) > 1").mistakes
    assert mistake.found == "a line with too much in it"


def test_a_bare_number_against_a_quantity_is_sent_to_the_limits_and_nothing_else_is():
    bare = faults_of("gallery_pressure.hot_idle > 30")
    assert [mistake.advice for mistake in bare.mistakes] == ["A number with a unit belongs in limits.yaml."]
    other = faults_of("gallery_pressure.hot_idle > lifter.feed_hole")
    assert [mistake.advice for mistake in other.mistakes] == [""]


@pytest.mark.parametrize(
    ("text", "marked", "found"),
    [
        ("lifter.feed_hle >= limits.pressure", "lifter.feed_hle", "the unknown name lifter.feed_hle"),
        ('lifter.metering == "dics"', '"dics"', 'the unknown choice "dics"'),
        ('"dics" == lifter.metering', '"dics"', 'the unknown choice "dics"'),
        ('lifter.metering in ("disc", "dics")', '"dics"', 'the unknown choice "dics"'),
        ("lifter.metering == rocker.pivot", "lifter.metering == rocker.pivot", "a choice (ball, needle)"),
        ('lifter.metering > "disc"', 'lifter.metering > "disc"', "an order between words"),
        ("lifter.metering == 3", "lifter.metering == 3", "against a bare number"),
        (
            "gallery_pressure.hot_idle > 30",
            "gallery_pressure.hot_idle > 30",
            "a pressure against a bare number",
        ),
        ("camshaft.spread > 30", "camshaft.spread > 30", "an angle against a bare number"),
        (
            "gallery_pressure.hot_idle > lifter.feed_hole",
            "gallery_pressure.hot_idle > lifter.feed_hole",
            "a pressure against a length",
        ),
        ("lifter.feed_hole + 1 > ways_up", "lifter.feed_hole + 1", "a length and a bare number added up"),
        (
            "lifter.feed_hole - lifter.notch_area > 1",
            "lifter.feed_hole - lifter.notch_area",
            "a length and an area",
        ),
        ("area(lifter.notch_area) > 1", "area(lifter.notch_area)", "area of an area"),
        ("sqrt(lifter.feed_hole) > 1", "sqrt(lifter.feed_hole)", "sqrt of a length"),
        ("min(ways_up) > 1", "min(ways_up)", "min of 1"),
        (
            "min(ways_up, lifter.feed_hole) > 1",
            "min(ways_up, lifter.feed_hole)",
            "min of a bare number and a length",
        ),
        ("abs(ways_up, 1) > 1", "abs(ways_up, 1)", "abs of 2"),
        ("abs(x=ways_up) > 1", "abs(x=ways_up)", "abs of 1"),
        ("exp(ways_up) > 1", "exp", "the unknown function exp"),
        ("1 < ways_up < 3", "1 < ways_up < 3", "comparisons in a chain"),
        ("ways_up == 1 and ways_up == 2", "ways_up == 1 and ways_up == 2", "no comparison"),
        ("not ways_up == 1", "not ways_up == 1", "no comparison"),
        ("ways_up", "ways_up", "no comparison"),
        ("1 < 2", "1 < 2", "reads no name"),
        ("ways_up is 1", "ways_up is 1", "a sign that a rule cannot use"),
        ("ways_up == True", "True", "something that a rule cannot say"),
        ("ways_up == 1e400", "1e400", "a number beyond all bounds"),
        ("ways_up == 1j", "1j", "something that a rule cannot say"),
        ("ways_up ** 2 > 1", "ways_up ** 2", "an operator that a rule cannot use"),
        ("ways_up % 2 > 1", "ways_up % 2", "an operator that a rule cannot use"),
        ("+ways_up > 1", "+ways_up", "something that a rule cannot say"),
        ('lifter.metering in "disc"', '"disc"', "no list of words"),
        ("lifter.metering in ()", "()", "no list of words"),
        ("lifter.metering in (ways_up,)", "ways_up", "something else than a word"),
        ('ways_up in ("disc",)', "ways_up", "a bare number before `in`"),
        ("lifter.metering + 1 > 2", "lifter.metering", "a choice (blind, clearance, disc, orifice)"),
    ],
)
def test_a_caret_marks_what_is_wrong(text, marked, found):
    fault = faults_of(text)
    (mistake,) = fault.mistakes
    assert text[mistake.start : mistake.end] == marked
    assert found in mistake.found
    line, carets = fault.marked(mistake).splitlines()
    assert line.removeprefix("    ") == text
    assert [at for at, mark in enumerate(carets.removeprefix("    ")) if mark == "^"] == list(
        range(mistake.start, mistake.end)
    )


def test_both_sides_are_reported_at_once():
    fault = faults_of('lifter.feed_hle + way_up > area("x") * lifter.nothing')
    assert [m.found for m in fault.mistakes] == [
        "the unknown name lifter.feed_hle",
        "the unknown name way_up",
        "a choice (x)",
        "the unknown name lifter.nothing",
    ]


def test_the_nearest_name_and_choice_are_offered():
    assert "Did you mean lifter.feed_hole" in str(faults_of("lifter.feed_hle >= limits.pressure"))
    assert "Did you mean disc?" in str(faults_of('lifter.metering == "dics"'))


def test_columns_are_characters_not_bytes():
    text = '"µµµ" == lifter.metering'
    (mistake,) = faults_of(text).mistakes
    assert text[mistake.start : mistake.end] == '"µµµ"'
    text = 'lifter.metering in ("µ", "dics")'
    assert [text[m.start : m.end] for m in faults_of(text).mistakes] == ['"µ"', '"dics"']


def test_letters_that_look_alike_are_other_letters():
    fault = faults_of("ℓifter.feed_hole > reference.lifter.feed_hole")  # NFKC folds this into l
    assert "the unknown name ℓifter.feed_hole" in str(fault)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ways_up > 1",
        "ways_up >",
        "ways_up > 1 # why",
        "ways_up > 1\nways_up > 2",
        "ways_up\t> 1",
        "ways_up > 1\x00",
        "\ufeffways_up > 1",
        "ways_up\u00a0> 1",
        "\ud800 > 1",
        "'\\x41' == lifter.name",
        "ways_up > 0777",
        "1if ways_up else 2",
        "ways_up > 1; ways_up",
        "(" * 150 + "ways_up" + ")" * 140,
        "-" * 280 + "ways_up > 1",
        "+".join(["ways_up"] * 35) + " > 1",
        "ways_up > " + "1" * 300,
        "lifter.name.__class__ == 'x'",
        "__import__('os') == 1",
        "().__class__ == 1",
        "ways_up[0] > 1",
        "[ways_up][0] > 1",
        "lambda: ways_up > 1",
        "(x := ways_up) > 1",
        "f'{ways_up}' == lifter.name",
        "b'disc' == lifter.metering",
        "[x for x in ways_up] == 1",
        "max(*ways_up) > 1",
        "ways_up > ...",
        "ways_up > None",
    ],
)
def test_hostile_lines_raise_the_languages_own_fault(text):
    for compile_ in (compile_comparison, compile_calculation):
        assert str(faults_of(text, compile_)).isprintable() is False  # it spans lines, so it has a caret line
        str(faults_of(text, compile_)).encode()  # and can be written out


SCRAPS = [
    *TYPES,
    *("1", "2.5", "1e400", "True", "0x1", "1_0", "0b", '"disc"', "'µ'", "f''", "\\", "\n", "ℓ", "."),
    *(
        "+",
        "-",
        "*",
        "/",
        "**",
        "<",
        ">=",
        "==",
        "in",
        "not",
        "and",
        "is",
        "if",
        "else",
        "for",
        "lambda",
        ":=",
    ),
    *("(", ")", "[", "]", "{", "}", ",", " ", "area", "abs", "max", "sqrt"),
]


@given(st.one_of(st.text(max_size=320), st.lists(st.sampled_from(SCRAPS), max_size=12).map(" ".join)))
def test_any_text_compiles_or_raises_the_languages_own_fault(text):
    for compile_ in (compile_comparison, compile_calculation):
        try:
            line = compile_(text, TYPES)
        except LanguageFault as fault:
            str(fault).encode()
            assert fault.mistakes  # noqa: PT017 (most texts fail, a few compile)
        else:
            assert line.names <= set(TYPES)
            assert line.run({}) is None or not line.names


bare_numbers = st.recursive(
    st.sampled_from(["a", "b", "c", "0.5", "3"]),
    lambda inner: st.one_of(
        st.builds("({} {} {})".format, inner, st.sampled_from("+-*/"), inner),
        st.builds("-{}".format, inner),
        st.builds("abs({})".format, inner),
        st.builds("max({}, {})".format, inner, inner),
    ),
    max_leaves=8,
)
small = st.integers(-4, 4).map(float)


@given(bare_numbers, small, small, small)
def test_known_numbers_give_what_python_gives(text, a, b, c):
    try:
        expected = eval(text, {"abs": abs, "max": max}, {"a": a, "b": b, "c": c})
    except ZeroDivisionError:
        expected = None
    found = compile_calculation(text, dict.fromkeys("abc", BARE)).run({"a": a, "b": b, "c": c})
    assert found == expected


signs = st.sampled_from(["<", "<=", "==", "!=", ">=", ">"])


@given(
    bare_numbers, signs, st.fixed_dictionaries({"a": small, "b": small, "c": small}), st.sampled_from("abc")
)
def test_taking_a_reading_away_only_ever_makes_a_line_unknown(text, sign, readings, missing):
    line = compile_comparison(f"{text} {sign} a", dict.fromkeys("abc", BARE))
    before = line.run(readings)
    after = line.run(readings | {missing: None})
    assert after is (None if missing in line.names else before)


def test_text_is_never_formatted_or_run():
    name = compile_comparison('lifter.name == "{0.__class__}"', TYPES)
    assert name.run({"lifter.name": "{0.__class__}"}) is True


def _flows(ratio, limit):
    return {"ratio__top_end_flow__hot_idle": ratio, "limits__flow_ratio": limit}
