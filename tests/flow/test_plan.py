"""The ways of oil through a family: nodes, chains, paths, and the ways up that are open."""

import pytest

from made_plans import PUMP, ROCKER, family, kind
from tarn_v8 import PLAN, TOPOLOGY, VOCABULARY
from upfeed.flow.plan import topology
from upfeed.knowledge.records import Plan

UP = (
    ("lifter", "window"),
    ("lifter", "band_way"),
    ("lifter", "feed_hole"),
    ("lifter", "partition"),
    ("lifter", "metering"),
    ("lifter", "cup_hole"),
    ("pushrod", "restrictor"),
    ("pushrod", "bore"),
    ("rocker", "oil_hole"),
)


def laid_out(kinds, joins, **more):
    return topology(family(kinds, joins, **more), {k.name: k for k in kinds})


def rows(chains):
    """Chains as `tail > steps > head`, for reading."""
    return {(c.tail, " ".join(passage for _, passage in c.steps), c.head) for c in chains}


# The demo family


def test_the_demo_has_three_nodes_and_a_chain_up_to_each_valve():
    assert TOPOLOGY.source == "oil_pump.outlet"
    assert TOPOLOGY.gauge == "block.main_gallery"
    assert set(TOPOLOGY.nodes) == {"oil_pump.outlet", "block.main_gallery", "block.lifter_gallery"}
    up = [chain for chain in TOPOLOGY.chains if chain.head == "rocker_cover"]
    assert [chain.valve for chain in up] == list(PLAN.valves)
    assert {(chain.tail, chain.steps) for chain in up} == {("block.lifter_gallery", UP)}


def test_the_demo_loses_oil_at_bearings_bleeds_and_both_ends_of_each_lifter():
    lost = [chain for chain in TOPOLOGY.chains if chain.head == "crankcase"]
    assert all(len(chain.ways) == 1 for chain in lost)
    of_engine = {chain.steps[0][1] for chain in lost if chain.valve is None}
    assert {"main_bearings", "rod_bearings", "cam_bearings", "fixed_bleed"} <= of_engine
    for valve in PLAN.valves:
        assert {c.steps[0][1] for c in lost if c.valve == valve} == {"land_above", "land_below"}


def test_every_way_of_the_demo_that_leads_somewhere_is_in_one_chain():
    chained = [way for chain in TOPOLOGY.chains for way in chain.ways]
    assert len(chained) == len(set(chained))
    # Left over: what would belong to a rocker shaft and its feed, joined to nothing here.
    left = {(way.slot, way.passage) for way in set(TOPOLOGY.ways) - set(chained)}
    assert not left & set(UP)
    assert ("cylinder_head", "rocker_feed") in left


def test_the_path_of_the_demo():
    for valve in PLAN.valves:
        (path,) = TOPOLOGY.paths_to(valve)
        assert [chain.steps for chain in path] == [
            (("block", "gallery_restrictor"), ("block", "gallery_feed")),
            UP,
        ]
        assert path[-1].valve == valve


@pytest.mark.parametrize("shut", UP, ids=[passage for _, passage in UP])
def test_any_shut_passage_on_the_way_up_leaves_that_valve_dry_and_no_other(shut):
    valve = (3, "exhaust")
    # A lifter with one band has no second one to help out.
    counts = TOPOLOGY.ways_up({(*shut, valve), ("lifter", "second_window", valve)})
    assert counts.pop(valve) == 0
    assert set(counts.values()) == {1}


def test_either_of_two_bands_is_way_enough():
    valve = (3, "exhaust")
    for shut in ("window", "second_window"):
        assert set(TOPOLOGY.ways_up({("lifter", shut, valve)}).values()) == {1}
    assert TOPOLOGY.ways_up({("lifter", "window", valve), ("lifter", "second_window", valve)})[valve] == 0


def test_a_shut_gallery_feed_leaves_all_dry_and_shut_leaks_none():
    assert set(TOPOLOGY.ways_up({("block", "gallery_feed", None)}).values()) == {0}
    leaks = {("lifter", land, v) for land in ("land_above", "land_below") for v in PLAN.valves}
    assert set(TOPOLOGY.ways_up(leaks).values()) == {1}
    assert set(TOPOLOGY.ways_up(()).values()) == {1}


def test_the_order_of_slots_and_joins_changes_no_way():
    turned = Plan(
        PLAN.cylinders,
        PLAN.roles,
        dict(reversed(PLAN.slots.items())),
        tuple(j[::-1] for j in PLAN.joins[::-1]),
    )
    other = topology(turned, VOCABULARY.kinds)
    assert {way.slot + "." + way.passage for way in other.ways} == {
        way.slot + "." + way.passage for way in TOPOLOGY.ways
    }
    assert {(c.steps, c.valve) for c in other.chains} == {(c.steps, c.valve) for c in TOPOLOGY.chains}
    assert other.ways_up(()) == TOPOLOGY.ways_up(())


# Families made up for the purpose


def test_ports_joined_in_a_row_are_one_node_named_after_the_engines_own():
    block = kind("block", "gallery", {"bearing": "gallery crankcase", "feed": "gallery rocker_cover"})
    made = laid_out(
        [PUMP, block, ROCKER], ["rocker.cup pump.outlet", "pump.outlet block.gallery"], each=["rocker"]
    )
    assert made.source == "pump.outlet"
    assert made.nodes == ("pump.outlet",)
    assert rows(made.chains) == {
        ("pump.outlet", "bearing", "crankcase"),
        ("pump.outlet", "feed", "rocker_cover"),
        ("pump.outlet", "hole", "rocker_cover"),
    }


def test_a_dead_end_is_no_chain_and_no_way_up():
    # The tube's outlet is joined to nothing: oil stands in it.
    tube = kind("tube", "inlet middle outlet", {"lower": "inlet middle", "upper": "middle outlet"})
    block = kind("block", "gallery", {"bearing": "gallery crankcase"})
    made = laid_out(
        [PUMP, block, tube, ROCKER],
        ["pump.outlet block.gallery", "block.gallery tube.inlet"],
        each=["rocker"],
    )
    assert rows(made.chains) == {("pump.outlet", "bearing", "crankcase")}
    assert made.paths_to((1, "intake")) == ()
    assert made.ways_up(()) == {(1, "intake"): 0}


LOOP = kind(
    "ring", "start left right end", {"a": "start left", "b": "left end", "c": "start right", "d": "right end"}
)


def ring():
    return laid_out([PUMP, LOOP, ROCKER], ["pump.outlet ring.start", "ring.end rocker.cup"], each=["rocker"])


def test_two_sides_of_a_loop_are_two_chains_and_two_paths():
    made = ring()
    assert rows(made.chains) == {
        ("pump.outlet", "a b", "ring.end"),
        ("pump.outlet", "c d", "ring.end"),
        ("ring.end", "hole", "rocker_cover"),
    }
    paths = made.paths_to((1, "intake"))
    assert {" ".join(step for chain in path for _, step in chain.steps) for path in paths} == {
        "a b hole",
        "c d hole",
    }


def test_a_loop_is_one_way_up_until_both_its_sides_are_shut():
    made, valve = ring(), (1, "intake")
    assert made.ways_up(()) == {valve: 1}
    assert made.ways_up({("ring", "a", None)}) == {valve: 1}
    assert made.ways_up({("ring", "a", None), ("ring", "d", None)}) == {valve: 0}


def two_ways_up():
    """Up the pushrod into the cup, and through head and shaft into the bore; each has a way out of its own."""
    block = kind("block", "gallery", {"bearing": "gallery crankcase"})
    rod = kind("rod", "foot tip", {"bore": "foot tip"})
    head = kind("head", "deck stand", {"riser": "deck stand"})
    rocker = kind("rocker", "cup bore", {"hole": "cup rocker_cover", "spout": "bore rocker_cover"})
    joins = [
        "pump.outlet block.gallery",
        "block.gallery rod.foot",
        "rod.tip rocker.cup",
        "block.gallery head.deck",
        "head.stand rocker.bore",
    ]
    return laid_out(
        [PUMP, block, rod, head, rocker], joins, each=["rod", "rocker"], roles=("intake", "exhaust")
    )


def test_two_ways_up_are_counted_and_lost_one_by_one():
    made, one, other = two_ways_up(), (1, "intake"), (1, "exhaust")
    assert made.ways_up(()) == {one: 2, other: 2}
    assert made.ways_up({("rod", "bore", one)}) == {one: 1, other: 2}
    assert made.ways_up({("head", "riser", None)}) == {one: 1, other: 1}
    assert made.ways_up({("rocker", "spout", one)}) == {one: 1, other: 2}
    assert made.ways_up({("rod", "bore", one), ("head", "riser", None)}) == {one: 0, other: 1}


def test_both_paths_of_two_ways_up_shortest_first():
    paths = two_ways_up().paths_to((1, "exhaust"))
    told = [" ".join(step for chain in path for _, step in chain.steps) for path in paths]
    assert sorted(told) == ["bore hole", "riser spout"]
    assert [len(path) for path in paths] == sorted(len(path) for path in paths)


def drilled_across():
    """As before, the rocker without a spout but drilled from bore to cup, the bore of one valve's own stand."""
    rod = kind("rod", "foot tip", {"bore": "foot tip"})
    stand = kind("stand", "deck top", {"riser": "deck top"})
    rocker = kind("rocker", "cup bore", {"hole": "cup rocker_cover", "drilling": "bore cup"})
    joins = ["pump.outlet rod.foot", "rod.tip rocker.cup", "pump.outlet stand.deck", "stand.top rocker.bore"]
    return laid_out([PUMP, rod, stand, rocker], joins, each=["rod", "stand", "rocker"])


def test_a_rocker_shut_inside_keeps_the_way_that_gets_past():
    made, valve = drilled_across(), (1, "intake")
    assert made.ways_up(()) == {valve: 2}
    # Not drilled from the bore to the cup: only the pushrod's oil gets to the hole.
    assert made.ways_up({("rocker", "drilling", valve)}) == {valve: 1}
    # Without its hole nothing gets out, whatever comes in.
    assert made.ways_up({("rocker", "hole", valve)}) == {valve: 0}


def test_stations_of_a_gallery_lie_in_the_order_oil_passes_them():
    # Four stations in a row, each with a leak into the crankcase, the last one feeding the rocker.
    ports = "first second third last"
    gallery = kind(
        "gallery",
        ports,
        {
            "one": "first second",
            "two": "second third",
            "three": "third last",
            **{f"leak_{port}": f"{port} crankcase" for port in ports.split()},
        },
    )
    made = laid_out(
        [PUMP, gallery, ROCKER], ["pump.outlet gallery.first", "gallery.last rocker.cup"], each=["rocker"]
    )
    (path,) = made.paths_to((1, "intake"))
    assert [chain.steps[0][1] for chain in path] == ["one", "two", "three", "hole"]
    assert [chain.tail for chain in path[1:]] == ["gallery.second", "gallery.third", "gallery.last"]


def test_no_way_at_all():
    made = laid_out([PUMP, ROCKER], [], each=["rocker"])
    assert made.nodes == ("pump.outlet",)
    assert made.chains == ()
    assert made.paths_to((1, "intake")) == ()


def test_a_leak_far_on_does_not_turn_the_way_there_round():
    # Only the pump's node and the last one leak: by way of the open crankcase they would seem neighbours.
    gallery = kind(
        "gallery",
        "first second third fourth last",
        {
            "one": "first second",
            "two": "second third",
            "three": "third fourth",
            "four": "fourth last",
            **{f"jet_{port}": f"{port} rocker_cover" for port in ("second", "third", "fourth")},
            "leak": "first crankcase",
            "bleed": "last crankcase",
        },
    )
    made = laid_out(
        [PUMP, gallery, ROCKER], ["pump.outlet gallery.first", "gallery.last rocker.cup"], each=["rocker"]
    )
    through = [chain for chain in made.chains if chain.steps == (("gallery", "four"),)]
    assert [(chain.tail, chain.head) for chain in through] == [("gallery.fourth", "gallery.last")]
