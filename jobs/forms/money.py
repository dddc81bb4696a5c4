from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q

from jobs.forms.amounts import PenceField
from jobs.forms.widgets import PlainModelForm, date_field
from jobs.models import Commission, Contract, PaymentEvent, StagePayment, Step, StepKind, Variation

# Where a change usually lands; the form offers the first of these that is still to be done.
MAKING = (StepKind.CARCASSES, StepKind.DOORS)

PERCENT_ERRORS = {
    "required": "Give a whole percentage from 0 to 100.",
    "invalid": "Give a whole percentage from 0 to 100.",
    "min_value": "Give a whole percentage from 0 to 100.",
    "max_value": "Give a whole percentage from 0 to 100.",
}


def percent_field(label: str) -> forms.IntegerField:
    errors = {name: f"{label}: {words}" for name, words in PERCENT_ERRORS.items()}
    return forms.IntegerField(label=label, min_value=0, max_value=100, error_messages=errors)


class StagePaymentsForm(forms.Form):
    """A price split into the usual parts."""

    price = PenceField(label="Price agreed, £")

    def __init__(self, *args: Any, shares: list[tuple[str, int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shares = shares
        for event, percent, _ in shares:
            field = percent_field(f"{PaymentEvent(event).label}, %")
            field.initial = percent
            self.fields[f"percent_{event}"] = field

    def chosen(self) -> list[tuple[str, int, str]]:
        return [(event, self.cleaned_data[f"percent_{event}"], holds) for event, _, holds in self.shares]


class StagePaymentForm(PlainModelForm):
    amount = PenceField(label="Amount, £")

    class Meta:
        model = StagePayment
        fields = ["event", "words", "due_on", "holds"]
        help_texts = {
            "due_on": "Blank: the event makes it due.",
            "holds": "What may not begin until it has cleared, unless somebody says why.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["event", "words", "amount", "due_on", "holds"])
        if self.instance.amount_pence:
            self.fields["amount"].initial = self.instance.amount_pence

    def save(self, commit: bool = True) -> Any:
        self.instance.amount_pence = self.cleaned_data["amount"]
        return super().save(commit=commit)


class ReceiptForm(forms.Form):
    amount = PenceField(label="Amount, £")
    received_on = date_field("Received on")
    cleared_on = date_field("Cleared on", required=False, help_text="Leave blank until the bank shows it.")
    evidence = forms.CharField(label="How it is seen: statement, reference", max_length=120, required=False)


class ClearedForm(forms.Form):
    cleared_on = date_field("Cleared on")


class ContractForm(PlainModelForm):
    price = PenceField(label="Price agreed, £")

    class Meta:
        model = Contract
        fields = [
            "quote_reference", "quote_version", "drawing", "agreed_on", "agreed_by_name", "where_agreed",
            "how_agreed", "notice_on", "notice_how", "exclusions",
        ]  # fmt: skip

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["drawing"].queryset = commission.drawings.all()  # type: ignore[attr-defined]
        self.order_fields(["quote_reference", "quote_version", "price", *self.Meta.fields[2:]])
        if self.instance.price_pence:
            self.fields["price"].initial = self.instance.price_pence

    def save(self, commit: bool = True) -> Any:
        self.instance.price_pence = self.cleaned_data["price"]
        return super().save(commit=commit)


class VariationForm(forms.Form):
    words = forms.CharField(
        label="What changes",
        widget=forms.Textarea(attrs={"rows": 4}),
        max_length=2000,
        error_messages={"required": "What changes: say it in the words you would use to the client."},
    )
    price = PenceField(
        label="Price, £", signed=True, help_text="More than agreed, or less as -50.00; 0 for no change."
    )
    days = forms.IntegerField(
        label="Working days",
        initial=0,
        help_text="Later by so many, or earlier as -2.",
        error_messages={
            "required": "Working days: give a number, 0 for no change.",
            "invalid": "Working days: give a whole number.",
        },
    )


class AnswerForm(forms.Form):
    is_agreed = forms.TypedChoiceField(
        label="The client said",
        coerce=lambda text: text == "yes",
        choices=[("yes", "yes"), ("no", "no")],
        widget=forms.RadioSelect,
        error_messages={"required": "The client said: choose yes or no."},
    )
    name = forms.CharField(
        label="Answered by",
        max_length=120,
        error_messages={"required": "Answered by: write the name of the person who answered."},
    )
    how = forms.CharField(label="How: by mail, in person …", max_length=60, required=False)

    def __init__(self, *args: Any, variation: Variation, **kwargs: Any) -> None:
        """Days ask which step takes them up; without days there is nothing to ask."""
        super().__init__(*args, **kwargs)
        if variation.days:
            left = Step.objects.filter(commission=variation.commission_id, finished_at__isnull=True)
            work = left.filter(Q(allowance_hours__gt=0) | Q(lead_days__gt=0)).order_by("position", "pk")
            many = f"{variation.days:+d} working day{'' if abs(variation.days) == 1 else 's'}"
            self.fields["step"] = forms.ModelChoiceField(
                work,
                label="Days go into",
                required=False,
                initial=next((one for kind in MAKING for one in work if one.kind == kind), work.first()),
                empty_label="no step: the plan stays as it is",
                help_text=f"With a yes this step gets {many}, and the plan moves with it.",
                error_messages={"invalid_choice": "Days go into: that step is finished or gone; choose another."},
            )
