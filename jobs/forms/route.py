"""A place on the way in, the vans, and what the carry is reckoned with."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.forms.lengths import LengthField
from jobs.forms.widgets import PlainModelForm
from jobs.models import CarryPlan, CarryRecord, Person, RoutePlace, Van
from jobs.queries.route_values import MEASURES


class RoutePlaceForm(PlainModelForm):
    """Only the sizes that this kind of place has."""

    cover_mm = LengthField("Floor to cover along the way, mm", required=False)

    class Meta:
        model = RoutePlace
        fields = ["name", "room", "cover_mm", "floor", "corners"]
        labels = {"room": "Only on the way to"}
        help_texts = {
            "name": "As one would say it: front door, first turn of the stairs.",
            "room": "Blank: every room is reached through here.",
            "corners": "Corners that get a guard.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = self.instance.commission.rooms.all()  # type: ignore[attr-defined]
        measures = MEASURES[self.instance.kind]
        for measure in measures:
            if measure.field == "treads":
                self.fields["treads"] = forms.IntegerField(
                    label=measure.words,
                    required=False,
                    min_value=1,
                    max_value=60,
                    help_text=measure.help,
                    error_messages={
                        "invalid": "Number of treads: give a whole number.",
                        "min_value": "Number of treads: give 1 to 60.",
                        "max_value": "Number of treads: give 1 to 60; a longer stair is two flights.",
                    },
                )
            else:
                self.fields[measure.field] = LengthField(
                    measure.words, required=measure.required, help_text=measure.help
                )
            self.initial[measure.field] = getattr(self.instance, measure.field)
        self.order_fields(["name", "room", *(measure.field for measure in measures), "cover_mm", "floor", "corners"])

    def place(self) -> RoutePlace:
        """The row as typed, not saved."""
        for measure in MEASURES[self.instance.kind]:
            setattr(self.instance, measure.field, self.cleaned_data.get(measure.field))
        return self.instance


class VanForm(PlainModelForm):
    length_mm = LengthField("Load length, mm", minimum_mm=300)
    width_mm = LengthField("Load width, mm", minimum_mm=300, help_text="Between the wheel arches.")
    height_mm = LengthField("Load height, mm", minimum_mm=300)

    class Meta:
        model = Van
        fields = ["name", "payload_kg", "length_mm", "width_mm", "height_mm"]
        help_texts = {"payload_kg": "From its plate: gross weight less what it weighs empty with a driver."}


class CarryPlanForm(PlainModelForm):
    class Meta:
        model = CarryPlan
        fields = [
            "people", "figures", "carry_m", "drive_minutes", "parking_minutes", "set_up_minutes", "van",
            "people_and_kit_kg",
        ]  # fmt: skip
        help_texts = {
            "figures": "Whose figures of the published lifting filter are taken for each lifter.",
            "drive_minutes": "Blank: reckoned from the two places on the map and the workshop’s travel speed.",
            "carry_m": "From the van to the room, as far as nobody puts it down.",
            "people_and_kit_kg": "Taken off the payload.",
        }


class CarryRecordForm(PlainModelForm):
    carriers = forms.ModelMultipleChoiceField(
        Person.objects.filter(is_active=True),
        label="Note it among the hours of",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="The same minutes for each, under Carrying. Leave out whoever ran the timer.",
    )

    class Meta:
        model = CarryRecord
        fields = ["done_on", "minutes", "trips", "floors"]
        help_texts = {"trips": "Rounds from the van to the room and back.", "minutes": "From the first piece on."}

    def __init__(self, *args: Any, only: Person | None = None, **kwargs: Any) -> None:
        """`only`: whoever may note no hours but their own."""
        super().__init__(*args, **kwargs)
        if only is not None:
            self.fields["carriers"].queryset = Person.objects.filter(pk=only.pk)  # type: ignore[attr-defined]
