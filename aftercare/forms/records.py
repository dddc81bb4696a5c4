from __future__ import annotations

import datetime as dt
from typing import Any

from aftercare.forms.code_care import CodeCare
from aftercare.models import Handover
from jobs.forms.widgets import PlainModelForm, instant_field


class HandoverForm(CodeCare, PlainModelForm):
    printed = ("know_first", "know_second", "know_third", "agreed", "existing_marks")
    handed_over_at = instant_field("Handed over at")

    class Meta:
        model = Handover
        fields = [
            "handed_over_at", "know_first", "know_second", "know_third", "agreed", "existing_marks",
        ]  # fmt: skip
        help_texts = {
            "know_first": "Three things to know stand on page one of the handover pack.",
            "agreed": "Snags, extras, who does what by when. Printed in the pack.",
            "existing_marks": "Marks on walls and floors that were there before we came.",
        }

    def __init__(self, *args: Any, now: dt.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["handed_over_at"].initial = now
