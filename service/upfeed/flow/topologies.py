"""The topologies of families' plans, each worked out once however many builds are asked about."""

from collections.abc import Mapping

from msgspec import Struct, field

from upfeed.flow.plan import Passing, Topology, topology
from upfeed.knowledge.records import Plan
from upfeed.knowledge.vocabulary import Kind


class _Made(Struct, frozen=True):
    """A topology with what it was worked out from."""

    plan: Plan
    kinds: Mapping[str, Kind]
    topology: Topology


class Topologies(Struct, frozen=True):
    """Kept as long as the knowledge they come from; a plan that was read anew is worked out anew."""

    _made: dict[tuple[str, frozenset[Passing]], _Made] = field(default_factory=dict)

    def of(
        self, family: str, plan: Plan, kinds: Mapping[str, Kind], parted: frozenset[Passing] = frozenset()
    ) -> Topology:
        """The topology of a family's plan, in which some passages are `parted`."""
        made = self._made.get((family, parted))
        if made is None or made.plan is not plan or made.kinds is not kinds:
            made = self._made[family, parted] = _Made(plan, kinds, topology(plan, kinds, parted))
        return made.topology
