"""Parser events of YAML into a tree; anchors, aliases, tags, equal keys and odd keys are faults."""

from collections.abc import Callable
from typing import Any, TypeAlias

from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nodes import DEEPEST, Form, Mapping, Node, Scalar, Sequence
from upfeed.reading.plain import plain_form, why_refused
from upfeed.reading.rawtext import HIDDEN

_Taker: TypeAlias = Callable[[Any, Any], None]


class UnreadableError(Exception):
    """Ends the reading of a document that no tree can be made of."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault


class _OpenSequence:
    """A list whose end has not come."""

    __slots__ = ("node",)
    awaits_key = False

    def __init__(self, node: Sequence) -> None:
        self.node = node

    def place(self, node: Node) -> None:
        self.node.items.append(node)

    def step(self, innermost: bool) -> str:
        return f" {len(self.node.items) + innermost}"  # an open item stands in the list already


class _OpenMapping:
    """A mapping whose end has not come; its key waits for a value, None where no key can be made of it."""

    __slots__ = ("awaits_key", "key", "node")

    def __init__(self, node: Mapping) -> None:
        self.node = node
        self.awaits_key = True
        self.key: str | None = None

    def place(self, node: Node) -> None:
        if self.key is not None:
            self.node.entries[self.key] = node
        self.awaits_key = True

    def step(self, innermost: bool) -> str:
        return f", {self.key}" if self.key and not (innermost and self.awaits_key) else ""


class Composer:
    """Builds the tree, event by event."""

    def __init__(self, file: str, layer: str, faults: list[Fault]) -> None:
        self._faults = faults
        self._documents = _OpenSequence(Sequence([], Origin(layer, file)))
        self._stack: list[_OpenSequence | _OpenMapping] = [self._documents]
        self._origin = Origin(layer, file)

    @property
    def root(self) -> Node | None:
        """The outermost node, once there is one."""
        return next(iter(self._documents.node.items), None)

    def take(self, event: Event) -> None:
        """Add one event. Raises UnreadableError where there is no going on."""
        taker = _TAKERS.get(type(event))
        if taker is not None:
            taker(self, event)

    def _at(self, event: Event) -> Origin:
        line = event.start_mark.line + 1 if event.start_mark else 0
        if line != self._origin.line:  # one record a line, not one a value
            self._origin = Origin(self._origin.layer, self._origin.file, line)
        return self._origin

    def _fault(self, event: Event, found: str, expected: str, advice: str) -> None:
        innermost = self._stack[-1]
        path = "".join(frame.step(frame is innermost) for frame in self._stack[1:]).strip(", ")
        self._faults.append(Fault(self._at(event), path, found, expected, advice))

    def _document(self, event: DocumentStartEvent) -> None:
        if self.root is not None:
            expected, advice = "one document in a file", "Split the file where a line is ---."
            raise UnreadableError(Fault(self._at(event), "", "a second document", expected, advice))

    def _alias(self, event: AliasEvent) -> None:
        self._fault(event, f"the alias *{event.anchor}", "a plain value", "Write the value out here.")
        self._place(Scalar("", "refused", self._at(event)))

    def _scalar(self, event: ScalarEvent) -> None:
        if event.anchor is not None or event.tag is not None:
            self._decorated(event)
        value = event.value
        form = plain_form(value) if event.implicit[0] else "text"
        if form == "refused" or not value.isprintable():
            form = self._suspect(event, form)
        scalar = Scalar(value, form, self._at(event))
        frame = self._stack[-1]
        if isinstance(frame, _OpenMapping) and frame.awaits_key:
            self._key(frame, scalar, event)
        else:
            frame.place(scalar)

    def _suspect(self, event: ScalarEvent, form: Form) -> Form:
        if form == "refused":
            self._fault(event, f"{event.value} without quotes", *why_refused(event.value))
        elif HIDDEN.search(event.value):
            self._fault(
                event, f"hidden characters in {quoted(event.value)}", "visible text", "Take them out."
            )
            return "refused"
        return form

    def _decorated(self, event: ScalarEvent | MappingStartEvent | SequenceStartEvent) -> None:
        if event.anchor is not None:
            advice = "Write the value out where it is used."
            self._fault(event, f"the anchor &{event.anchor}", "a plain value", advice)
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self._fault(event, f"the tag {tag}", "a plain value", "Leave it out; quotes make anything text.")

    def _key(self, frame: _OpenMapping, scalar: Scalar, event: Event) -> None:
        keys = frame.node.keys
        usable = False
        if scalar.form in {"null", "boolean"}:
            self._fault(event, f"{scalar.text or 'nothing'} as a key", "a word as a key", "Put it in quotes.")
        elif scalar.text in keys:
            expected = f"it only once (it stands in line {keys[scalar.text].line})"
            self._fault(event, f"the key {quoted(scalar.text)} again", expected, "Take one of them out.")
        elif scalar.form != "refused":
            keys[scalar.text] = scalar.origin
            usable = True
        frame.awaits_key = False
        frame.key = scalar.text if usable else None

    def _open(self, event: MappingStartEvent | SequenceStartEvent) -> None:
        self._decorated(event)
        if len(self._stack) > DEEPEST:
            found = f"more than {DEEPEST} levels of nesting"
            raise UnreadableError(Fault(self._at(event), "", found, f"at most {DEEPEST}"))
        if self._stack[-1].awaits_key:
            found = "a mapping or a list as a key"
            self._fault(event, found, "a word as a key", "Text with brackets goes in quotes.")
        origin = self._at(event)
        node = Mapping({}, {}, origin) if isinstance(event, MappingStartEvent) else Sequence([], origin)
        self._place(node)
        self._stack.append(_OpenMapping(node) if isinstance(node, Mapping) else _OpenSequence(node))

    def _place(self, node: Node) -> None:
        frame = self._stack[-1]
        if isinstance(frame, _OpenMapping) and frame.awaits_key:  # no key can be made of it
            frame.awaits_key, frame.key = False, None
        else:
            frame.place(node)

    def _close(self, _: Event) -> None:
        self._stack.pop()


_TAKERS: dict[type[Event], _Taker] = {
    ScalarEvent: Composer._scalar,
    MappingStartEvent: Composer._open,
    SequenceStartEvent: Composer._open,
    MappingEndEvent: Composer._close,
    SequenceEndEvent: Composer._close,
    AliasEvent: Composer._alias,
    DocumentStartEvent: Composer._document,
}
