"""One form of one sheet of a commission: shown, acted on, and back to the sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpResponse
from django.urls import reverse

from jobs.models import Commission
from jobs.views.common import WorkshopRequest, answer_form


def sheet_url(name: str, commission: Commission) -> str:
    return reverse(name, args=[commission.number])


def answer_sheet_form(
    request: WorkshopRequest,
    form: forms.BaseForm,
    *,
    act: Callable[[], object],
    commission: Commission,
    back: str,
    title: str,
    submit: str,
    said: str = "",
    **context: Any,
) -> HttpResponse:
    return answer_form(
        request,
        form,
        act=act,
        done=back,
        said=said,
        title=title,
        subtitle=str(commission),
        back=back,
        submit=submit,
        **context,
    )
