"""The form of a plan: a place for everything that stands in the room, in the fields of every other
form. Its names are what the page's script moves: `at-key-x`, `aim-key-z`, `path-1-y`, `boom-x`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any, Self

from werkzeug.datastructures import MultiDict
from wtforms.fields.core import UnboundField

from scout.drawing.plan.editor import facing_deg
from scout.errors import Refused, RefusedMany
from scout.records.plan import PlannedBlock, PlannedLight, StagePlan
from scout.units import Units
from scout.values import Figure, Name, said
from scout.web.forms.base import Group, GroupForm, gather
from scout.web.forms.fields import ChoiceField, LengthField, NumberField, TypedField, leaves

WALK_MOST = 12
MARKS = ("subject", "camera")


class SpotForm(GroupForm):
    """A place: to the right, up the drawing, and above the floor."""

    x = LengthField("x")
    y = LengthField("y")
    z = LengthField("height")


class DegreesField(NumberField):
    """A turn within a full one either way."""

    def read(self) -> float | None:
        """Degrees. Raises Refused."""
        turned = super().read()
        if turned is not None and abs(turned) > 360.0:
            least, most = Figure(-360.0, "deg"), Figure(360.0, "deg")
            raise Refused(
                self.short_name, self.text, said("refused.within", least=least, most=most)
            )
        return turned


class BlockForm(GroupForm):
    """A place on the floor, and how far what stands there is turned."""

    x = LengthField("x")
    y = LengthField("y")
    turn = DegreesField("turned", unit="°")


class PlanForm(GroupForm):
    """A plan; of what stands in it by name, the fields are made as they are needed."""

    facing = DegreesField("facing", unit="°")
    lens = NumberField("lens", unit="mm")
    boom = Group(SpotForm, "boom")

    def __init__(self, sent: Mapping[str, str] | None = None, units: Units = "metric") -> None:
        formdata = None if sent is None else MultiDict(sent)
        super().__init__(formdata)
        self.lights: list[str] = []
        self.blocks: list[str] = []
        self.marks = 0  # of the walk
        for name in MARKS:
            self._put(f"at-{name}", Group(SpotForm, name), formdata)
        given = sent or {}
        self.hold(
            (name for name in _named(given, "at-", "xyz") if name not in MARKS),
            _named(given, "block-", "xy"),
            max((int(key) for key in _named(given, "path-", "xyz") if _is_count(key)), default=0),
            formdata,
        )
        self.dress(units, None)

    def hold(
        self, lights: Iterable[str], blocks: Iterable[str], marks: int, formdata: Any = None
    ) -> None:
        """Make the fields of further lights, pieces of furniture and marks of the walk."""
        for name in lights:
            if name not in self.lights:
                self.lights.append(name)
                self._put(f"at-{name}", Group(SpotForm, name), formdata)
                towards = ChoiceField(
                    name, choices=[("subject", "subject"), ("place", "place")], none=""
                )
                self._put(f"aim-{name}", towards, formdata)
                aim = str(said("plan.aim", light=Name(name)))
                self._put(f"aim-{name}", Group(SpotForm, aim), formdata, key=f"aim-{name}-place")
        for name in blocks:
            if name not in self.blocks:
                self.blocks.append(name)
                self._put(f"block-{name}", Group(BlockForm, name), formdata)
        while self.marks < max(marks, WALK_MOST):
            self.marks += 1
            label = str(said("plan.walk_mark", number=self.marks))
            self._put(f"path-{self.marks}", Group(SpotForm, label), formdata)

    def _put(self, name: str, unbound: UnboundField, formdata: Any, key: str = "") -> None:
        field = self.meta.bind_field(self, unbound, {"name": name, "prefix": ""})
        field.process(formdata)
        self._fields[key or name] = field

    @classmethod
    def showing(cls, plan: StagePlan, units: Units) -> Self:
        """The fields filled with a plan."""
        form = cls(None, units)
        form.hold(
            (light.id for light in plan.lights),
            (block.id for block in plan.furniture),
            len(plan.path or ()),
        )
        form.dress(units, None)
        form._spot("at-subject", plan.subject)
        form._spot("at-camera", plan.camera)
        form._spot("boom", plan.boom)
        for light in plan.lights:
            form._spot(f"at-{light.id}", light.at_m)
            form[f"aim-{light.id}"].show("subject" if light.aim_m is None else "place")
            form._spot(f"aim-{light.id}-place", light.aim_m)
        for number, mark in enumerate(plan.path or (), start=1):
            form._spot(f"path-{number}", mark)
        for block in plan.furniture:
            x, y = (round(part, 4) for part in block.at_m)
            turn = round(block.turn_deg or 0.0, 2)
            form[f"block-{block.id}"].show({"x": x, "y": y, "turn": turn})
        turned = facing_deg(plan)
        form.facing.show(None if turned is None else round(turned, 2))
        form.lens.show(plan.lens_mm)
        return form

    def _spot(self, name: str, place: Iterable[float] | None) -> None:
        self[name].show(
            dict(zip("xyz", (round(part, 4) for part in place), strict=True)) if place else None
        )

    @property
    def texts(self) -> dict[str, str]:
        """What stands in every field, by its name on the page."""
        return {field.name: field.text for field in leaves(self)}

    def called(self, key: str) -> str:
        """What a field is called when two plans are compared, or when it is refused: `key, x`."""
        for group in self:
            for field in getattr(group, "form", None) or ():
                if field.name == key:
                    return _axis(group, field)
        return key

    def plan(self) -> StagePlan | None:
        """The plan that was sent; None when nothing was. Raises RefusedMany with every slip."""
        refusals: list[Refused] = []
        given: dict[str, Any] = {name: self._place(f"at-{name}", refusals) for name in MARKS}
        lights = []
        for name in self.lights:
            at = self._place(f"at-{name}", refusals)
            if at is None:
                continue
            aimed = self[f"aim-{name}"].text == "place"
            aim = self._place(f"aim-{name}-place", refusals) if aimed else None
            lights.append({"id": name, "at_m": at, "aim_m": aim})
        walk = [
            place
            for number in range(1, self.marks + 1)
            if (place := self._place(f"path-{number}", refusals)) is not None
        ]
        if len(walk) == 1:
            refusals.append(Refused(self["path-1"].label.text, "", said("refused.lone_mark")))
        blocks = []
        for name in self.blocks:
            spot = self._place(f"block-{name}", refusals)
            if spot is not None:
                turn = gather(self[f"block-{name}"].form["turn"], refusals)
                blocks.append({"id": name, "at_m": spot, "turn_deg": turn})
        turned, lens = gather(self.facing, refusals), gather(self.lens, refusals)
        given |= {"boom": self._place("boom", refusals), "path": walk or None, "lens_mm": lens}
        if turned is not None:
            across, up = math.sin(math.radians(turned)), math.cos(math.radians(turned))
            given["subject_normal"] = (round(across, 9), round(up, 9), 0.0)
        if refusals:
            raise RefusedMany(refusals)
        if not (lights or walk or blocks or any(given.values())):
            return None
        return _record(given, lights, blocks)

    def _place(self, name: str, refusals: list[Refused]) -> tuple[float, ...] | None:
        """A place, None where nothing is typed for it; what cannot be read, or is missing beside
        the others, is put on the pile.
        """
        group = self[name]
        axes = [field for field in group.form if isinstance(field, LengthField)]
        if all(field.blank for field in axes):
            return None
        read = []
        for field in axes:
            own: list[Refused] = []
            read.append(gather(field, own))
            if field.blank:
                part = Name(field.label.text)
                own.append(Refused("", "", said("refused.place_part", part=part, count=len(axes))))
            refusals += [Refused(_axis(group, field), r.given, r.because) for r in own]
        return tuple(value or 0.0 for value in read)


def _record(given: dict[str, Any], lights: list[Any], blocks: list[Any]) -> StagePlan:
    plan = StagePlan.read(given, "plan")
    return plan.model_copy(
        update={
            "lights": tuple(
                PlannedLight.read(light, f"light {light['id'][:40]}") for light in lights
            ),
            "furniture": tuple(
                PlannedBlock.read(block, f"furniture {block['id'][:40]}") for block in blocks
            ),
        }
    )


def _axis(group: Any, field: TypedField) -> str:
    return str(said("plan.axis", name=Name(group.label.text), axis=Name(field.label.text)))


def _named(sent: Mapping[str, str], prefix: str, axes: str) -> list[str]:
    """The names that fields of an address or a form carry, in their order: `at-key-x` is key's."""
    return list(
        dict.fromkeys(
            key[len(prefix) : -2]
            for key in sent
            if key.startswith(prefix)
            and len(key) > len(prefix) + 1
            and key[-2] == "-"
            and key[-1] in axes
        )
    )


def _is_count(text: str) -> bool:
    return text.isdecimal() and text.isascii() and len(text) < 4
