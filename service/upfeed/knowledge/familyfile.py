"""Reads engine families: plan, reference build, operating points and intents."""

from msgspec.structs import replace

from upfeed.knowledge.firingfile import read_firing
from upfeed.knowledge.partfile import NO_PARTS, read_intents
from upfeed.knowledge.records import BuildSheet, Family, Plan, Slot, Value
from upfeed.knowledge.sheet import SheetReader
from upfeed.knowledge.stationrows import read_stations, station_joins
from upfeed.knowledge.values import Defaults, Notes, read_values
from upfeed.knowledge.valvesfile import check_valves, read_valves
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.nodes import Node, Scalar, Sequence
from upfeed.reading.reader import Reader

_TRAITS = {"source": "a pump", "fluid": "the oil", "lobes": "a camshaft", "read_at": "a block"}
"""What every family has exactly one slot for."""

MOST_CYLINDERS = 36
"""Beyond any pushrod engine; a misprint must not fill the memory."""


def read_family(given: Reader, defaults: Defaults, vocabulary: Vocabulary, notes: Notes) -> Family | None:
    """One family; None where it has no id or no usable plan."""
    id_ = given.ident("family")
    given.only("family", "name", "maker", "plan", "reference", "points", "intents")
    given.path = f"family {id_}"
    plan = _plan(given.mapping("plan"), vocabulary)
    name, maker = given.text("name"), given.text("maker")
    intents = read_intents(given, maker or id_, vocabulary)
    if plan is None or not id_:
        if given.node("plan") is None:
            given.fault("plan", "nothing", "cylinders, valves, slots and joins")
        return None
    sheets = SheetReader(vocabulary, plan, defaults, notes)
    return Family(
        id=id_,
        name=name,
        maker=maker,
        plan=plan,
        reference=_reference(given, id_, sheets, defaults, vocabulary, notes),
        points=_points(given, sheets, vocabulary),
        intents=intents,
        origin=given.origin("family"),
    )


def _reference(
    given: Reader, family: str, sheets: SheetReader, defaults: Defaults, vocabulary: Vocabulary, notes: Notes
) -> BuildSheet:
    reference = given.mapping("reference")
    if reference is None:
        given.fault("reference", "nothing", "the reference build: slots and settings")
        return BuildSheet("", "", family, None, {}, {}, {}, (), (), given.origin())
    reference.only("slots", "settings")
    return BuildSheet(
        id=f"{family}-reference",
        name="the reference build",
        family=family,
        as_of=None,
        slots=sheets.slots(reference.mapping("slots")),
        settings=read_values(reference.mapping("settings"), vocabulary.kinds["settings"], defaults, notes),
        points={},
        open=(),
        accepts=(),
        origin=given.origin("reference"),
    )


def _points(given: Reader, sheets: SheetReader, vocabulary: Vocabulary) -> dict[str, dict[str, Value]]:
    points = sheets.points(given.mapping("points"), tuple(vocabulary.points))
    for name in vocabulary.points:
        if name not in points:
            given.fault("points", f"no point {name}", f"every one of {', '.join(vocabulary.points)}")
    return points


def _plan(given: Reader | None, vocabulary: Vocabulary) -> Plan | None:
    if given is None:
        return None
    before = len(given.faults)
    given.only("cylinders", "valves", "firing_order", "firing_angles", "slots", "joins", "stations")
    slots = given.mapping("slots")
    for key in ("cylinders", "valves", "slots"):
        if given.node(key) is None:
            given.fault(key, "nothing", "the number of cylinders, the valves of each, and the slots")
    found = {name: _slot(name, reader, vocabulary) for name, reader in slots.each()} if slots else {}
    slots_read = {name: slot for name, slot in found.items() if slot}
    valves = read_valves(given)
    check_valves(given, valves, vocabulary)
    lobes = {name: lobe for name, lobe in valves.items() if lobe != name}
    cylinders = _cylinders(given)
    fires_at = read_firing(given, cylinders)
    plan = Plan(cylinders, tuple(valves), slots_read, _joins(given), lobes, fires_at=fires_at)
    plan = replace(plan, stations=read_stations(given.mapping("stations"), plan))
    if len(given.faults) == before:
        _check(given, plan, vocabulary)
    return plan if len(given.faults) == before else None


def _cylinders(given: Reader) -> int:
    cylinders = given.whole("cylinders", least=1) or 1
    if cylinders > MOST_CYLINDERS:
        given.fault("cylinders", str(cylinders), f"at most {MOST_CYLINDERS}")
    return cylinders


def _slot(name: str, given: Reader, vocabulary: Vocabulary) -> Slot | None:
    given.only("kind", "each")
    kind = given.one_of("kind", [name for name in vocabulary.kinds if name not in NO_PARTS])
    each = given.one_of("each", ("engine", "valve"))
    if kind is None:
        if given.node("kind") is None:
            given.fault("kind", "nothing", "the kind of part this slot takes")
        return None
    return Slot(name, kind, "valve" if each == "valve" else "engine")


def _joins(given: Reader) -> tuple[tuple[str, str], ...]:
    node = given.node("joins")
    pairs = node.items if isinstance(node, Sequence) else []
    found = [tuple(_text(end) for end in pair.items) if isinstance(pair, Sequence) else () for pair in pairs]
    if not found or any(len(pair) != 2 for pair in found):
        given.fault(
            "joins", "no list of pairs", "pairs of ports that meet, as [oil_pump.outlet, block.main_gallery]"
        )
    return tuple((pair[0], pair[1]) for pair in found if len(pair) == 2)


def _text(node: Node) -> str:
    return node.text if isinstance(node, Scalar) else ""


def _check(given: Reader, plan: Plan, vocabulary: Vocabulary) -> None:
    """Joined ports exist, passages take from slots the family has, and each trait has one slot."""
    kinds = {slot.name: vocabulary.kinds[slot.kind] for slot in plan.slots.values()}
    _check_joins(given, plan, kinds)
    for trait, what in _TRAITS.items():
        having = [name for name, kind in kinds.items() if getattr(kind, trait)]
        if len(having) != 1:
            given.fault("slots", f"{len(having)} slots with {what}", f"one slot with {what}")
    for name, kind in kinds.items():
        for slot in _taken_from(kind):
            if slot not in kinds:
                given.fault("slots", f"no slot {slot}", f"one, since {name} takes values from it")


def _check_joins(given: Reader, plan: Plan, kinds: dict[str, Kind]) -> None:
    known = [f"{name}.{port}" for name, kind in kinds.items() for port in kind.ports]
    joined = {end: None for pair in (*plan.joins, *station_joins(plan)) for end in pair}
    for end in joined:
        if end not in known:
            given.fault(
                "joins", quoted(end), "a slot's port, as block.main_gallery", did_you_mean(end, known)
            )
    for name, kind in kinds.items():
        if kind.source and f"{name}.{kind.source.into}" not in joined:
            given.fault("joins", f"nothing joined to {name}.{kind.source.into}", "where the pump delivers")


def _taken_from(kind: Kind) -> dict[str, None]:
    bound = [t for p in kind.passages.values() for b in p.laws.values() for t in b.takes.values()]
    by = [name for p in kind.passages.values() for name in p.by]
    terms = [*bound, *by, *(kind.source.takes.values() if kind.source else ())]
    slots = (term.rpartition(".")[0] for term in terms if isinstance(term, str))
    return dict.fromkeys(slot for slot in slots if slot and slot != "turn")
