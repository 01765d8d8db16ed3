import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.judging.dimension import Word, number
from upfeed.judging.lexicon import PROPER_NAME, RATIO, Name
from upfeed.judging.message import compile_message, render, show
from upfeed.judging.syntax import LanguageFault

LEXICON = {
    "lifter.name": PROPER_NAME,
    "lifter.feed_hole": Name(number("length"), "length", "in"),
    "hot_preload.hot_idle": Name(number("length"), "length", "thou"),
    "gallery_pressure.hot_idle": Name(number("pressure"), "pressure", "psi"),
    "rocker.oiling": Name(Word(frozenset({"through_cup", "closed"})), None, ""),
    "tightest.hot_idle": Name(Word(None), None, ""),
    "area_ratio": Name(number("ratio"), "ratio", "", 2),
    "ratio.top_end_flow.hot_idle": RATIO,
    "odd": Name(number("relief_slope"), None, ""),
}


def spoken(text, system="shop", **seen):
    values = {name.replace("__", "."): value for name, value in seen.items()}
    return render(compile_message(text, LEXICON), values, system)


def test_names_are_filled_in_with_units_of_the_shop_or_metric_ones():
    text = "{lifter.name} feeds through {lifter.feed_hole} at {gallery_pressure.hot_idle}."
    seen = {
        "lifter__name": ("Brackwater 1.18_x",),
        "lifter__feed_hole": (0.052 * 0.0254,),
        "gallery_pressure__hot_idle": (2e5,),
    }
    # 1 psi is 6894.757 Pa (NIST SP 811, from memory), so 2 bar are 29.0 psi; 0.052 in are 1.3208 mm
    assert spoken(text, **seen) == "Brackwater 1.18_x feeds through 0.052 in at 29 psi."
    assert spoken(text, "si", **seen) == "Brackwater 1.18_x feeds through 1.32 mm at 2 bar."


def test_thou_become_millimetres():
    assert spoken("{hot_preload.hot_idle}", hot_preload__hot_idle=(25 * 0.0000254,)) == "25 thou"
    assert spoken("{hot_preload.hot_idle}", "si", hot_preload__hot_idle=(25 * 0.0000254,)) == "0.635 mm"


def test_choices_and_places_are_spoken_in_plain_words():
    assert spoken("{rocker.oiling}", rocker__oiling=("through_cup",)) == "through cup"
    assert spoken("{tightest.hot_idle}", tightest__hot_idle=("lifter.cup_hole",)) == "lifter cup hole"


def test_digits_are_those_of_the_name():
    assert spoken("{area_ratio}", area_ratio=(1.611,)) == "1.6"
    assert spoken("{ratio.top_end_flow.hot_idle}", ratio__top_end_flow__hot_idle=(1.0449,)) == "1.04"


def test_values_that_differ_between_corner_cases_are_told_as_a_range():
    assert spoken("{area_ratio} times", area_ratio=(1.4, 2.6, 1.9)) == "1.4-2.6 times"
    assert spoken("{area_ratio} times", area_ratio=(1.401, 1.399)) == "1.4 times"
    assert spoken("{area_ratio} times", area_ratio=(0.0, 2.6)) == "0-2.6 times"
    assert spoken("{rocker.oiling}", rocker__oiling=("through_cup", "closed")) == "closed or through cup"


@pytest.mark.parametrize("seen", [(), (None,), (1.4, None)])
def test_what_is_not_known_is_said_to_be_unknown(seen):
    assert show(RATIO, seen, "shop") == "unknown"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("{lifter.nme}", ["{lifter.nme}"]),
        ("{lifter.name} and {} and { lifter.name }", ["{}", "{ lifter.name }"]),
        ("{lifter.name.__class__}", ["{lifter.name.__class__}"]),
        ("{lifter.name:>300000000}", ["{lifter.name:>300000000}"]),
        ("{lifter.name!r}", ["{lifter.name!r}"]),
        ("{{lifter.name}}", ["a single {", "a single }"]),
        ("a { b", ["a single {"]),
        ("a } b", ["a single }"]),
        ("{odd}", ["{odd}, a number in kg^-1 m^4 s"]),
    ],
)
def test_braces_hold_a_known_name_and_nothing_else(text, found):
    with pytest.raises(LanguageFault) as caught:
        compile_message(text, {**LEXICON, "odd": Name(number("relief_slope"), None, "")})
    assert len(caught.value.mistakes) == len(found)
    for mistake, words in zip(caught.value.mistakes, found, strict=True):
        assert mistake.found.startswith(words.partition(",")[0])


def test_the_nearest_name_is_offered():
    with pytest.raises(LanguageFault, match=r"Did you mean lifter\.name"):
        compile_message("{lifter.nme}", LEXICON)


@given(st.text(alphabet="ab {}.", max_size=40))
def test_any_text_is_refused_or_spoken_whole(text):
    try:
        message = compile_message(text, LEXICON)
    except LanguageFault:
        assert "{" in text or "}" in text
    else:
        assert render(message, {}, "shop") == text
