"""Changes that may be made to a build: another part, a setting, a size of a part; one at a time."""

from msgspec import Struct
from msgspec.structs import replace

from upfeed.knowledge.records import BuildSheet, Family, Fitting, Value
from upfeed.reading.faults import Origin

_HERE = Origin(file="a change that is tried")


class OtherPart(Struct, frozen=True):
    """A known part at every place of a slot."""

    slot: str
    part: str

    @property
    def name(self) -> str:
        """What is changed."""
        return self.slot

    @property
    def new(self) -> str:
        """What it is changed to."""
        return self.part

    def on(self, sheet: BuildSheet, family: Family) -> BuildSheet:
        """The sheet with it, whatever stood in the slot; a slot left open is filled."""
        fitting = Fitting("all", self.part, "", {}, None, _HERE)
        open_ = tuple(slot for slot in sheet.open if slot != self.slot)
        return replace(sheet, slots={**sheet.slots, self.slot: (fitting,)}, open=open_)


class OtherSetting(Struct, frozen=True):
    """A setting at another value."""

    setting: str
    value: Value

    @property
    def name(self) -> str:
        """What is changed."""
        return f"settings.{self.setting}"

    @property
    def new(self) -> str:
        """What it is changed to."""
        return self.value.written

    def on(self, sheet: BuildSheet, family: Family) -> BuildSheet:
        """The sheet with it."""
        unknown = {of: tuple(n for n in names if n != self.setting) for of, names in sheet.unknown.items()}
        return replace(sheet, settings={**sheet.settings, self.setting: self.value}, unknown=unknown)


class OtherSize(Struct, frozen=True):
    """A size of what stands in a slot, at every place of it; the parts are else what they are."""

    slot: str
    attribute: str
    value: Value

    @property
    def name(self) -> str:
        """What is changed."""
        return f"{self.slot}.{self.attribute}"

    @property
    def new(self) -> str:
        """What it is changed to."""
        return self.value.written

    def on(self, sheet: BuildSheet, family: Family) -> BuildSheet:
        """The sheet with it."""
        designed, named = family.reference.slots.get(self.slot, ()), sheet.slots.get(self.slot, ())
        under = () if any(fitting.at == "all" for fitting in named) else designed
        by_place = {fitting.at: fitting for fitting in (*under, *named)}
        fittings = tuple(self._on(fitting) for fitting in by_place.values())
        return replace(sheet, slots={**sheet.slots, self.slot: fittings})

    def _on(self, fitting: Fitting) -> Fitting:
        unknown = tuple(name for name in fitting.unknown if name != self.attribute)
        return replace(fitting, has={**fitting.has, self.attribute: self.value}, unknown=unknown)


Change = OtherPart | OtherSetting | OtherSize


def changed(sheet: BuildSheet, family: Family, changes: tuple[Change, ...]) -> BuildSheet:
    """A sheet with changes made one after another."""
    for change in changes:
        sheet = change.on(sheet, family)
    return sheet


def tried_value(magnitude: float, written: str) -> Value:
    """A size that nobody measured: it is assumed, since it is to be made so."""
    return Value(magnitude, written, "assumed", "", _HERE)
