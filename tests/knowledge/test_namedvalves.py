"""Names of several valves and the way back from them."""

from hypothesis import given, settings
from hypothesis import strategies as st

from upfeed.knowledge.build import resolve
from upfeed.knowledge.namedvalves import named_valves
from upfeed.knowledge.variants import valve_names


@given(st.data())
@settings(max_examples=200)
def test_names_of_valves_lead_back_to_the_valves(library, sheet_of, data):
    family = data.draw(st.sampled_from(sorted(library.knowledge.families)))
    build = resolve(sheet_of({"family": family}), library.knowledge, library.vocabulary)
    valves = build.family.plan.valves
    chosen = sorted(data.draw(st.sets(st.integers(0, len(valves) - 1), min_size=1)))
    assert named_valves(build.family.plan, valve_names(build, chosen)) == {valves[i] for i in chosen}
