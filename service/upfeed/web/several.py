"""Reads bodies that hold several builds, each read as if it stood alone."""

from collections.abc import Sequence

from msgspec.structs import replace

from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.reading.nodes import Node, alone
from upfeed.reading.nodes import Sequence as ListNode
from upfeed.reading.reader import Reader

_A_BUILD = "a build, as a file holds it"


def build_at(outer: Reader, name: str, library: Library) -> BuildSheet | None:
    """The build under a name of an object; None with everything wrong added to the object's faults."""
    below = outer.node(name)
    if below is None:
        outer.fault(name, "nothing", _A_BUILD)
        return None
    own: list[Fault] = []
    sheet = read_sheet(alone(below, f"/{name}"), library.knowledge, library.vocabulary, own)
    outer.faults.extend(replace(fault, origin=_under(fault.origin, f"/{name}")) for fault in own)
    return sheet


def _under(origin: Origin, pointer: str) -> Origin:
    return replace(origin, pointer=pointer + origin.pointer)


def read_each(
    node: Node, faults: list[Fault], most: int, library: Library
) -> list[tuple[str, BuildSheet | DataFaults]]:
    """The builds of a list by their names, or what is wrong with each, its pointers counted from the build.

    A build that is not named goes by its pointer. Raises DataFaults where there is no such list, it holds none or more
    than `most`, or names are not one for each.
    """
    outer = Reader(node, "", [fault for fault in faults if not _stands_below(fault, "/builds/")])
    outer.only("builds", "names")
    builds = outer.node("builds")
    items = builds.items if isinstance(builds, ListNode) else []
    if not 0 < len(items) <= most:
        found = f"{len(items)} builds" if isinstance(builds, ListNode) else "no list"
        outer.fault("builds", found, f"a list of 1 to {most} builds")
    places = [f"/builds/{i}" for i in range(len(items))]
    names = outer.words("names") if outer.node("names") else places
    if len(names) != len(places) and not outer.faults:
        outer.fault("names", f"{len(names)} names", f"{len(places)}, one for each build")
    if outer.faults:
        raise DataFaults(outer.faults)
    read = (_one(item, at, faults, library) for item, at in zip(items, places, strict=True))
    return list(zip(names, read, strict=True))


def _stands_below(fault: Fault, pointer: str) -> bool:
    return fault.origin.pointer.startswith(pointer)


def _one(item: Node, at: str, faults: Sequence[Fault], library: Library) -> BuildSheet | DataFaults:
    own = [
        replace(fault, origin=replace(fault.origin, pointer=fault.origin.pointer.removeprefix(at)))
        for fault in faults
        if fault.origin.pointer == at or _stands_below(fault, f"{at}/")
    ]
    sheet = read_sheet(alone(item, at), library.knowledge, library.vocabulary, own)
    return DataFaults(own) if sheet is None or own else sheet
