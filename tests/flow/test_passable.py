"""What hangs together by ways that are not shut, beside a graph library."""

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tarn_v8 import KNOWLEDGE, VOCABULARY
from upfeed.flow.passable import Passable, is_inner
from upfeed.flow.topologies import Topologies
from upfeed.flow.ways import Way

MADE = Topologies()
A_TO_B, B_TO_C = (Way("rod", name, None, *ends) for name, ends in (("one", "AB"), ("two", "BC")))
OUT, OTHER_OUT = (Way("rod", "out", None, node, "crankcase") for node in "CD")


def test_a_node_is_together_with_what_its_ways_lead_to_either_way():
    ways = Passable((A_TO_B, B_TO_C))
    assert [ways.together(node, ()) for node in "ABC"] == [{"A", "B", "C"}] * 3
    assert ways.together("A", without=[B_TO_C]) == {"A", "B"}
    assert ways.together("elsewhere", ()) == {"elsewhere"}


def test_an_open_space_joins_nothing():
    assert Passable((OUT, OTHER_OUT)).together("C", ()) == {"C"}


def test_the_ways_of_a_part():
    ways = Passable((A_TO_B, OUT))
    assert ways.of("rod", None) == [A_TO_B, OUT]
    assert not ways.of("rod", (1, "intake"))


@pytest.mark.parametrize("family", KNOWLEDGE.families)
@settings(max_examples=25)
@given(data=st.data())
def test_components_are_those_of_a_graph_library(family, data):
    made = MADE.of(family, KNOWLEDGE.families[family].plan, VOCABULARY.kinds)
    shut = data.draw(st.sets(st.sampled_from(made.ways), max_size=12))
    without = data.draw(st.sets(st.sampled_from(made.ways), max_size=4))
    graph = nx.Graph((w.tail, w.head) for w in made.ways if w not in shut | without and is_inner(w))
    graph.add_node(made.source)
    passable = Passable(tuple(way for way in made.ways if way not in shut))
    assert passable.together(made.source, without) == nx.node_connected_component(graph, made.source)
