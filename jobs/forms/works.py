"""Kit, snags, photographs, drawings, parking and keys: one form each."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from jobs.forms.amounts import PenceField
from jobs.forms.widgets import PlainModelForm, instant_field
from jobs.models import (
    Commission,
    FeatureWall,
    KitList,
    KitListItem,
    LoadItem,
    ParkingPlan,
    ParkingRule,
    Person,
    Photograph,
    PhotographPurpose,
    Room,
    Snag,
    Subcontractor,
    Survey,
)


class KitListForm(PlainModelForm):
    class Meta:
        model = KitList
        fields = ["name"]


class KitListItemForm(PlainModelForm):
    class Meta:
        model = KitListItem
        fields = ["words", "kind", "count"]


class LoadItemForm(PlainModelForm):
    class Meta:
        model = LoadItem
        fields = ["words", "kind", "needed", "in_hand"]


class SnagForm(PlainModelForm):
    class Meta:
        model = Snag
        fields = ["place", "words", "room", "cause", "photograph", "person", "subcontractor", "seen_on", "due_on"]

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices: dict[str, Any] = {
            "room": commission.rooms.all(),
            "photograph": commission.photographs.all(),
            "person": Person.objects.filter(is_active=True),
            "subcontractor": Subcontractor.objects.filter(is_active=True),
        }
        for name, rows in choices.items():
            self.fields[name].queryset = rows  # type: ignore[attr-defined]


class FinishSnagForm(forms.Form):
    photograph = forms.ModelChoiceField(
        Photograph.objects.none(), label="Photograph of it put right", required=False, empty_label="none"
    )

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photograph"].queryset = commission.photographs.all()  # type: ignore[attr-defined]


class AgreeSnagForm(forms.Form):
    agreed_by = forms.CharField(
        label="Agreed by",
        max_length=120,
        error_messages={"required": "Agreed by: write the name of the person who looked."},
    )


class FilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One or more files. Each is checked by the domain, which names the one at fault."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            widget=FilesInput(attrs={"accept": "image/jpeg,image/png,image/webp,image/heic,image/heif"}), **kwargs
        )

    def clean(self, data: Any, initial: Any = None) -> Any:
        files = data if isinstance(data, (list, tuple)) else [data]
        return [super(FilesField, self).clean(one, initial) for one in files]


class SurveyField(forms.ModelChoiceField):
    """A survey of the commission, said with its room."""

    def __init__(self, queryset: QuerySet[Survey] | None = None, **kwargs: Any) -> None:
        options: dict[str, Any] = {"label": "Of the survey", "required": False, "empty_label": "none"} | kwargs
        super().__init__(Survey.objects.none() if queryset is None else queryset, **options)

    def label_from_instance(self, survey: Any) -> str:
        return f"{survey.room}: {survey}"


def surveys_of(commission: Commission) -> QuerySet[Survey]:
    return Survey.objects.filter(room__commission=commission).select_related("room")


class PhotographsForm(forms.Form):
    pictures = FilesField(
        label="Photographs",
        allow_empty_file=True,
        help_text="JPEG, PNG, WebP or HEIC, up to 15 MB and 25 megapixels each, ten at a time. The place they were "
        "taken at is taken out; the time stays.",
        error_messages={"required": "Photographs: choose at least one."},
    )
    purpose = forms.ChoiceField(label="What for", choices=PhotographPurpose.choices, initial=PhotographPurpose.WORK)
    room = forms.ModelChoiceField(Room.objects.none(), label="Room", required=False, empty_label="none")
    survey = SurveyField()
    wall = forms.ChoiceField(label="Which wall", choices=[("", "none"), *FeatureWall.choices], required=False)
    words = forms.CharField(
        label="What they show",
        max_length=200,
        required=False,
        help_text="Marks that are there already, for instance.",
    )

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = commission.rooms.all()  # type: ignore[attr-defined]
        self.fields["survey"].queryset = surveys_of(commission)  # type: ignore[attr-defined]


class PhotographForm(PlainModelForm):
    class Meta:
        model = Photograph
        fields = ["purpose", "room", "survey", "wall", "words", "is_shown_to_client"]
        field_classes = {"survey": SurveyField}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = self.instance.commission.rooms.all()  # type: ignore[attr-defined]
        self.fields["survey"].queryset = surveys_of(self.instance.commission)  # type: ignore[attr-defined]


class DrawingForm(forms.Form):
    title = forms.CharField(
        label="Title",
        max_length=80,
        help_text="The same title as before makes the next version of that drawing.",
        error_messages={"required": "Title: say what is drawn, such as “Wardrobe elevations”."},
    )
    file = forms.FileField(
        label="Drawing",
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,image/png"}),
        help_text="PDF or PNG, up to 15 MB.",
        error_messages={"required": "Drawing: choose a PDF or PNG file."},
    )
    note = forms.CharField(label="What has changed", max_length=200, required=False)


class ApproveForm(forms.Form):
    name = forms.CharField(
        label="Approved by",
        max_length=120,
        error_messages={"required": "Approved by: write the name of the person who approves."},
    )


class ParkingRuleForm(PlainModelForm):
    fee = PenceField(label="Fee, £", required=False)

    class Meta:
        model = ParkingRule
        fields = ["council", "zone", "what", "notice_working_days", "checked_on"]
        help_texts = {"checked_on": "Councils change these: look again each time, and write the day."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["council", "zone", "what", "notice_working_days", "fee", "checked_on"])
        if self.instance.fee_pence:
            self.fields["fee"].initial = self.instance.fee_pence

    def save(self, commit: bool = True) -> Any:
        self.instance.fee_pence = self.cleaned_data["fee"] or 0
        return super().save(commit=commit)


class ParkingPlanForm(PlainModelForm):
    class Meta:
        model = ParkingPlan
        fields = ["rule", "day", "applied_on", "granted_on", "reference"]


class TakeKeysForm(forms.Form):
    tag = forms.CharField(
        label="Code on the tag",
        max_length=12,
        help_text="Letters and a number, such as K-27. Never a name, a street or a house number.",
        error_messages={"required": "Code on the tag: write what the tag says."},
    )
    count = forms.IntegerField(
        label="How many keys",
        initial=1,
        min_value=1,
        max_value=50,
        error_messages={"invalid": "How many keys: give a number.", "required": "How many keys: give a number."},
    )
    received_from = forms.CharField(
        label="Received from",
        max_length=120,
        error_messages={"required": "Received from: write who handed them over."},
    )
    holder = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who holds them", empty_label=None)
    at = instant_field("Received")


class HandOnForm(forms.Form):
    holder = forms.ModelChoiceField(Person.objects.filter(is_active=True), label="Who takes them", empty_label=None)


class GiveBackForm(forms.Form):
    returned_to = forms.CharField(
        label="Given back to", max_length=120, error_messages={"required": "Given back to: write who took them."}
    )
    at = instant_field("Given back")
