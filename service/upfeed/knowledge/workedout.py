"""Values of a part that follow from others: how its lobes are given, how high a table's lobe is, what a bench tells."""

from collections.abc import Collection, Iterator, Mapping

from msgspec.structs import replace

from upfeed.knowledge.benches import hangs_on, reading
from upfeed.knowledge.lobeways import by_table, way_given
from upfeed.knowledge.records import STANDINGS, Magnitude, Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.units import show

_LIFT = "lift"
_DIGITS = 5

Has = Mapping[str, Value]


def with_worked_out(kind: Kind, has: Has, unknown: Collection[str] = ()) -> dict[str, Value]:
    """What is given of a part of a kind, and with it what follows, in the order of the vocabulary.

    Nothing follows that is said to be `unknown`. What cannot be is left for `impossible` to tell.
    """
    way = {name: value for name, value in _lobes_from(kind, has) if name not in unknown}
    found = way | dict(_highest_lifts(kind, {**has, **way})) | dict(_metering(kind, has))
    found = {name: value for name, value in found.items() if name not in unknown}
    if not found:
        return dict(has)
    known = {**has, **found}
    return {name: known[name] for name in kind.attributes if name in known}


def over(kind: Kind, base: Has, named: Has, unknown: Collection[str] = ()) -> dict[str, Value]:
    """Values of a part over those of another it begins from, without what follows; `unknown` ones left out.

    The size of a metering that a bench told stays what it is where only sizes of the part are changed: the bench
    read what the part was before.
    """
    changed = {*named, *unknown}
    readings = set(kind.bench.readings) if kind.bench else set()
    told = _told(kind, base) if changed & hangs_on(kind) and not changed & readings else {}
    kept = as_given(base) | told
    left_out = {*unknown, *(readings if told else ())}
    return {name: value for name, value in (kept | dict(named)).items() if name not in left_out}


def as_given(has: Has) -> dict[str, Value]:
    """A part's values without those that follow from others of it."""
    return {name: value for name, value in has.items() if not follows(has, name)}


def follows(has: Has, name: str) -> bool:
    """Whether a value of a part changes with another that is given of it."""
    return has[name].follows_from in has


def _told(kind: Kind, has: Has) -> dict[str, Value]:
    bench = kind.bench
    return {n: v for n, v in has.items() if bench and v.follows_from == bench.flow}


def _lobes_from(kind: Kind, has: Has) -> Iterator[tuple[str, Value]]:
    """Where nobody says by which way lobes are given, and something is given by one way alone."""
    if kind.lobes_from is None or kind.lobes_from in has:
        return
    way, name = way_given(kind, has)
    if name:
        yield kind.lobes_from, _following(has, name, way, way, f"since nothing but a {way} is given")


def _highest_lifts(kind: Kind, has: Has) -> Iterator[tuple[str, Value]]:
    """Lobes read off as tables are as high as their highest reading, whatever a card says beside them."""
    for lobe in (kind.lobes or {}).values() if by_table(kind, has) else ():
        read = has[lobe.table].magnitude if lobe.table in has else None
        if not isinstance(read, tuple):
            continue
        highest, name = max(lift for _, lift in read), lobe.card[_LIFT]
        note = f"the highest reading of the {lobe.table.replace('_', ' ')}"
        yield name, _following(has, lobe.table, highest, _shown(kind, name, highest), note)


def _metering(kind: Kind, has: Has) -> Iterator[tuple[str, Value]]:
    """What meters as the bench flow says, whatever size is given beside it; as well known as the worst reading."""
    read = reading(kind, {name: value.magnitude for name, value in has.items()})
    if kind.bench is None or read is None:
        return
    size = float(read.size)
    flow, pressure, warmth = (
        has[name].written for name in (kind.bench.flow, kind.bench.pressure, kind.bench.fluid["temperature"])
    )
    note = f"worked out from the bench flow, {flow} at {pressure} and {warmth}"
    value = _following(has, kind.bench.flow, size, _shown(kind, read.tells, size), note)
    worst = max((has[name].standing for name in kind.bench.readings), key=STANDINGS.index)
    yield read.tells, replace(value, standing=worst)


def _following(has: Has, name: str, magnitude: Magnitude, written: str, note: str) -> Value:
    """As well known as the value of this name that it follows from, and standing where that is written."""
    of = has[name]
    return Value(magnitude, written, of.standing, of.source, of.origin, note=note, follows_from=name)


def _shown(kind: Kind, name: str, magnitude: float) -> str:
    attribute = kind.attributes[name]
    return show(magnitude, attribute.quantity or "", attribute.shown_in, _DIGITS)
