"""The forms of a workshop's first hour."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.domain.first_hour import NewPerson
from jobs.forms.records import WorkshopForm
from jobs.forms.widgets import PlainModelForm
from jobs.models import Client, Commission, Person, Role, Workshop
from jobs.towns import towns_named

ROLES = {str(label).casefold(): value for value, label in Role.choices}
MOST_PEOPLE = 20


class FirstHourForm(PlainModelForm):
    """Name, place, nation, people, hours. A place that is known needs no coordinates."""

    weekdays = WorkshopForm.base_fields["weekdays"]
    people = forms.CharField(
        label="Who else works here",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line, with what they are after a comma: Sam Ashby, helper. Maker, helper or office. You are "
        "in already.",
    )

    class Meta:
        model = Workshop
        fields = ["name", "town", "latitude_deg", "longitude_deg", "nation", "weekdays", "day_starts", "day_ends"]
        labels = {"name": "Name of the workshop", "town": "Nearest town"}
        help_texts = {
            "town": "Where it lies is looked up in a list that came with the program.",
            "latitude_deg": "Only where the town is not found: degrees, north of the equator positive: 52.48.",
            "longitude_deg": "Degrees, east of Greenwich positive: -1.9.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["town"].required = True
        self.fields["town"].error_messages["required"] = "Nearest town: this is needed; fill it in."
        self.fields["weekdays"].error_messages["required"] = "Days worked: tick at least one day."
        self.order_fields(["name", "town", "latitude_deg", "longitude_deg", "nation", "people", "weekdays"])

    def clean_people(self) -> list[NewPerson]:
        found = []
        for line in self.cleaned_data["people"].splitlines():
            name, _, role = (part.strip() for part in line.rpartition(","))
            if not name:
                name, role = role, "maker"
            if not name:
                continue
            if role.casefold() not in ROLES:
                raise forms.ValidationError(
                    f"Who else works here: after {name}’s comma stands “{role}”; write maker, helper or office."
                )
            if len(name) > 120:
                raise forms.ValidationError("Who else works here: a name of more than 120 letters; shorten it.")
            found.append(NewPerson(name, ROLES[role.casefold()]))
        if len(found) > MOST_PEOPLE:
            raise forms.ValidationError(f"Who else works here: {MOST_PEOPLE} at most; add others later.")
        return found

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        starts, ends = data.get("day_starts"), data.get("day_ends")
        if starts and ends and ends <= starts:
            self.add_error("day_ends", "Day ends: the day would end before it starts; give a later time.")
        for name, most in (("latitude_deg", 90), ("longitude_deg", 180)):
            value = data.get(name)
            if value is not None and not -most <= value <= most:
                words = str(self.fields[name].label)
                self.add_error(name, f"{words}: give degrees from -{most} to {most}.")
        if data.get("town") and not self.errors:
            self._place(data)
        return data

    def _place(self, data: dict[str, Any]) -> None:
        """Coordinates typed win; one town of that name gives its own; else it is asked for them."""
        typed = [data.get(name) is not None for name in ("latitude_deg", "longitude_deg")]
        if all(typed):
            return
        if any(typed):
            self.add_error("longitude_deg", "Give both latitude and longitude, or neither.")
            return
        towns = towns_named(data["town"])
        if len(towns) == 1:
            data["latitude_deg"], data["longitude_deg"] = towns[0].latitude_deg, towns[0].longitude_deg
        elif towns:
            where = "; ".join(f"{town.latitude_deg:.3f} and {town.longitude_deg:.3f}" for town in towns[:4])
            self.add_error("town", f"Nearest town: there are {len(towns)} of that name. Give its place: {where}.")
        else:
            self.add_error(
                "town",
                f"Nearest town: “{data['town']}” is not in the list. Give a larger town near it, or its latitude and "
                "longitude below.",
            )


class FirstClientForm(PlainModelForm):
    class Meta:
        model = Client
        fields = ["name", "email", "phone", "address", "postcode"]
        labels = {"name": "Client’s name"}
        help_texts = {"email": "Invites and the handover pack go here. Without it, each becomes a call to make."}


class FirstCommissionForm(PlainModelForm):
    class Meta:
        model = Commission
        fields = ["what", "nickname", "maker", "latitude_deg", "longitude_deg"]
        help_texts = {
            "what": "In words the client would use: alcove pair, library wall.",
            "nickname": "A visitor reads this on the wall: a street or a house, no person's name.",
            "latitude_deg": "For travel and for the light; it can be given later: 52.48.",
            "longitude_deg": "Degrees, east of Greenwich positive: -1.9.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["maker"].queryset = Person.objects.filter(is_active=True)  # type: ignore[attr-defined]
