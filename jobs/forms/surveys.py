"""The survey on one page, what is on a wall, the run, the client's word, works since."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.domain.surveys import Size
from jobs.forms.lengths import LeanField, LengthField
from jobs.forms.widgets import PlainModelForm, instant_field
from jobs.measuring.readings import PLACES, SMALLEST_ROOM_MM
from jobs.models import Declaration, ReadingKind, RoomFeature, RunPlan, Survey, WorkSince
from jobs.queries.room_readings import PAIRS, PLUMB_WALLS, SIZES

# A group of fields on the page: heading, help, field names.
Group = tuple[str, str, list[str]]
MOST_UNITS = 30


class SurveyForm(PlainModelForm):
    """Every reading a field of its own; a blank one is a missing reading, never a mistake."""

    class Meta:
        model = Survey
        fields = ["taken_on", "wall_type", "floor_build_up", "notes"]
        help_texts = {
            "wall_type": "Plaster on brick, board on studs, lath and plaster ...",
            "floor_build_up": "Boards on joists, screed, what lies on it and how thick.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.groups: list[Group] = []
        self._sizes()
        self._plumb_and_level()
        self._pairs()
        if self.instance.pk:
            self._fill()
        # The day first, words about walls and floor last, as they are taken on site.
        self.after = ["wall_type", "floor_build_up", "notes"]

    def _sizes(self) -> None:
        helps = {
            ReadingKind.WIDTH: "Between the side walls, at the back wall and at the front of the furniture.",
            ReadingKind.HEIGHT: "Floor to ceiling.",
            ReadingKind.DEPTH: "From the back wall to what the furniture may come out to.",
        }
        for kind in SIZES:
            names = []
            for place in PLACES[kind.value]:  # type: ignore[index]
                name = field_name(kind, place)
                self.fields[name] = LengthField(
                    f"{kind.label} {place}, mm", required=False, minimum_mm=SMALLEST_ROOM_MM
                )
                names.append(name)
            self.groups.append((f"{kind.label}, mm", helps[kind], names))

    def _plumb_and_level(self) -> None:
        names = []
        for wall in PLUMB_WALLS:
            lean, over = field_name(ReadingKind.PLUMB, wall), over_name(ReadingKind.PLUMB, wall)
            self.fields[lean] = LeanField(f"Plumb, {wall} wall leans, mm", required=False)
            self.fields[over] = LengthField(
                f"Plumb, {wall} wall over a height of, mm", required=False, minimum_mm=SMALLEST_ROOM_MM
            )
            names += [lean, over]
        help_text = "Into the opening at the top without a sign, away from it with a minus; 0 is plumb."
        self.groups.append(("Plumb", help_text, names))
        fall, run = field_name(ReadingKind.LEVEL, "floor"), over_name(ReadingKind.LEVEL, "floor")
        self.fields[fall] = LeanField("Level, floor falls, mm", required=False)
        self.fields[run] = LengthField("Level, over a run of, mm", required=False, minimum_mm=SMALLEST_ROOM_MM)
        self.groups.append(("Level", "From left to right; a rise with a minus, 0 is level.", [fall, run]))

    def _pairs(self) -> None:
        helps = {
            ReadingKind.DIAGONAL: "Corner to corner of the back wall.",
            ReadingKind.SKIRTING: "0 and 0 where there is none.",
            ReadingKind.CORNICE: "0 and 0 where there is none.",
        }
        for kind, places in PAIRS.items():
            names = []
            for place in places:
                name = field_name(kind, place)
                least = SMALLEST_ROOM_MM if kind == ReadingKind.DIAGONAL else 0
                self.fields[name] = LengthField(f"{kind.label} {place}, mm", required=False, minimum_mm=least)
                names.append(name)
            self.groups.append((f"{kind.label}, mm", helps[kind], names))

    def _fill(self) -> None:
        for reading in self.instance.readings.all():
            self.initial[field_name(reading.kind, reading.place)] = reading.value_mm
            if reading.over_mm is not None:
                self.initial[over_name(reading.kind, reading.place)] = reading.over_mm

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        wholes = [(ReadingKind.PLUMB, wall) for wall in PLUMB_WALLS] + [(ReadingKind.LEVEL, "floor")]
        for kind, place in wholes:
            self._both(field_name(kind, place), over_name(kind, place))
        for kind, places in PAIRS.items():
            self._both(*(field_name(kind, place) for place in places))
        return cleaned

    def _both(self, first: str, second: str) -> None:
        """Two figures that say something only together."""
        if first in self.errors or second in self.errors:
            return
        missing = [name for name in (first, second) if self.cleaned_data.get(name) is None]
        if len(missing) == 1:
            given = second if missing[0] == first else first
            words, other = (self.fields[name].words for name in (missing[0], given))  # type: ignore[attr-defined]
            self.add_error(missing[0], f"{words}: {other.lower()} is typed, this is not. Type both or neither.")

    def sizes(self) -> dict[tuple[str, str], Size]:
        """The readings typed, by (kind, place)."""
        found: dict[tuple[str, str], Size] = {}
        singles: list[tuple[str, str]] = [(kind, place) for kind in SIZES for place in PLACES[kind.value]]  # type: ignore[index]
        singles += [(kind, place) for kind, places in PAIRS.items() for place in places]
        singles += [(ReadingKind.PLUMB, wall) for wall in PLUMB_WALLS] + [(ReadingKind.LEVEL, "floor")]
        for kind, place in singles:
            value_mm = self.cleaned_data.get(field_name(kind, place))
            if value_mm is not None:
                found[str(kind), place] = Size(value_mm, self.cleaned_data.get(over_name(kind, place)))
        return found

    def grouped(self) -> list[tuple[str, str, list[forms.BoundField]]]:
        return [(heading, help_text, [self[name] for name in names]) for heading, help_text, names in self.groups]

    def words(self) -> list[forms.BoundField]:
        return [self[name] for name in self.after]


def field_name(kind: str, place: str) -> str:
    return f"{ReadingKind(kind).value}_{place.replace(' ', '_')}"


def over_name(kind: str, place: str) -> str:
    return f"{field_name(kind, place)}_over"


class FeatureForm(PlainModelForm):
    start_mm = LengthField("Starts at, mm", minimum_mm=0, help_text="From the back corner; on the back wall, left.")
    end_mm = LengthField("Ends at, mm", help_text="From the same corner.")
    bottom_mm = LengthField("Bottom above the floor, mm", minimum_mm=0)
    top_mm = LengthField("Top above the floor, mm")
    stands_out_mm = LengthField(
        "Stands proud of the wall by, mm", minimum_mm=0, maximum_mm=2000, initial=0, help_text="0 where it is flush."
    )
    reveal_mm = LengthField(
        "Reveal of a window, mm", required=False, minimum_mm=0, maximum_mm=2000, help_text="Windows only."
    )

    class Meta:
        model = RoomFeature
        fields = [
            "kind", "name", "wall", "start_mm", "end_mm", "bottom_mm", "top_mm", "stands_out_mm", "reveal_mm",
            "facing_deg",
        ]  # fmt: skip
        help_texts = {"facing_deg": "Windows only: north 0, east 90, south 180, west 270."}


class RunForm(forms.Form):
    """A run of units: read from the address when it is only looked at, posted when it is kept."""

    widths = forms.CharField(
        label="Widths from left to right, mm",
        max_length=200,
        help_text="With commas: 600, 600, 450.",
        error_messages={"required": "Widths: type at least one, such as 600."},
    )
    doors = forms.CharField(
        label="Doors of each unit",
        required=False,
        max_length=200,
        help_text="L or R for one door hinged there, LR for a pair, - for none: LR, L, -.",
    )
    depth_mm = LengthField("Depth with doors, mm", minimum_mm=10)
    position_mm = LengthField(
        "Infill left, mm", required=False, minimum_mm=0, help_text="Blank puts the run in the middle."
    )
    door_bottom_mm = LengthField("Bottom of the doors above the floor, mm", minimum_mm=0, initial=100)
    door_top_mm = LengthField("Top of the doors above the floor, mm", initial=2200)

    def clean_widths(self) -> list[int]:
        parts = self.cleaned_data["widths"].replace(";", ",").split(",")
        if len(parts) > MOST_UNITS:
            raise forms.ValidationError(f"Widths: {len(parts)} units are too many; {MOST_UNITS} are the most.")
        field = LengthField("Widths, mm", minimum_mm=10)
        return [field.clean(part) for part in parts]

    def clean_doors(self) -> list[str]:
        marks = [mark.strip().upper() for mark in self.cleaned_data["doors"].replace(";", ",").split(",")]
        for mark in marks:
            if mark not in ("", "-", "L", "R", "LR"):
                raise forms.ValidationError(f"Doors: “{mark[:10]}” is no mark. Use L, R, LR or - for each unit.")
        return ["" if mark == "-" else mark for mark in marks]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        widths, doors = cleaned.get("widths"), cleaned.get("doors")
        if widths and doors and len(doors) > len(widths):
            self.add_error("doors", f"Doors: {len(doors)} marks for {len(widths)} units; give one for each unit.")
        return cleaned


def run_initial(plan: RunPlan | None) -> dict[str, Any]:
    if plan is None:
        return {"door_bottom_mm": 100, "door_top_mm": 2200}
    return {
        "widths": ", ".join(str(width_mm) for width_mm in plan.widths_mm),
        "doors": ", ".join(mark or "-" for mark in plan.doors),
        "depth_mm": plan.depth_mm,
        "position_mm": plan.position_mm,
        "door_bottom_mm": plan.door_bottom_mm,
        "door_top_mm": plan.door_top_mm,
    }


class DeclarationForm(forms.Form):
    """What the client told us or wrote; by their own page they declare it themselves."""

    declared_at = instant_field("Said or written at")
    way = forms.ChoiceField(
        label="How", choices=[choice for choice in Declaration.Way.choices if choice[0] != Declaration.Way.LINK]
    )
    nothing_changed = forms.ChoiceField(
        label="What they say",
        choices=[("yes", "Nothing has changed since the survey"), ("no", "Something has changed")],
        widget=forms.RadioSelect,
        error_messages={"required": "What they say: choose one of the two."},
    )
    what_changed = forms.CharField(label="What has changed", required=False, max_length=500)


class WorkSinceForm(PlainModelForm):
    class Meta:
        model = WorkSince
        fields = ["done_on", "what"]
        help_texts = {"what": "Plaster, floor, skirting, wiring: what may have moved a wall or a height."}


def declared(form: DeclarationForm) -> dict[str, Any]:
    """The form's answer as `declare_nothing_changed` takes it."""
    return form.cleaned_data | {"nothing_changed": form.cleaned_data["nothing_changed"] == "yes"}
