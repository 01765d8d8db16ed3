"""A family's topology is worked out once, and anew for another plan."""

from msgspec.structs import replace

from tarn_v8 import PLAN, VOCABULARY
from upfeed.flow.plan import may_join, topology
from upfeed.flow.topologies import Topologies

KINDS = VOCABULARY.kinds
BUSH = frozenset(may_join(PLAN, KINDS))


def test_the_same_plan_is_worked_out_once():
    kept = Topologies()
    made = kept.of("tarn-v8", PLAN, KINDS)
    assert made == topology(PLAN, KINDS)
    assert kept.of("tarn-v8", PLAN, KINDS) is made


def test_what_is_parted_counts():
    kept = Topologies()
    whole, parted = kept.of("tarn-v8", PLAN, KINDS), kept.of("tarn-v8", PLAN, KINDS, BUSH)
    assert (whole.parted, parted.parted) == (frozenset(), BUSH)
    assert len(parted.ways) > len(whole.ways)
    assert kept.of("tarn-v8", PLAN, KINDS) is whole


def test_a_plan_or_vocabulary_read_anew_is_worked_out_anew():
    kept = Topologies()
    kept.of("tarn-v8", PLAN, KINDS)
    other = replace(PLAN, joins=PLAN.joins[:-1])
    assert kept.of("tarn-v8", other, KINDS) == topology(other, KINDS) != topology(PLAN, KINDS)
    kinds = dict(KINDS)
    kinds["lifter"] = replace(kinds["lifter"], kept_full=())
    made = kept.of("tarn-v8", other, kinds)
    assert kept.of("tarn-v8", other, kinds) is made
    assert kept.of("tarn-v8", other, KINDS) is not made
