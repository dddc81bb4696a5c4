"""What the views share: fetch, form, domain call, answer."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.models import Commission, Person, Workshop
from jobs.refusal import Refusal

T = TypeVar("T")


class WorkshopRequest(HttpRequest):
    """A request as `jobs.middleware` leaves it; for type checking only."""

    now: dt.datetime
    workshop: Workshop
    user: Person


def the_commission(number: int) -> Commission:
    return get_object_or_404(Commission.objects.select_related("client", "maker"), number=number)


def add_refusal(form: forms.BaseForm, refusal: Refusal) -> None:
    """Say the refusal beside its field, or over the form where the field is not on it."""
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)


def answer_form(
    request: HttpRequest,
    form: forms.BaseForm,
    *,
    act: Callable[[], T],
    done: str | Callable[[T], str],
    said: str | Callable[[T], str] = "",
    template: str = "jobs/form_page.html",
    **context: Any,
) -> HttpResponse:
    """One form on a page: shown, or acted on and left. A refused form comes back as it was typed, as 422."""
    if request.method == "POST" and form.is_valid():
        try:
            result = act()
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            words = said(result) if callable(said) else said
            if words:
                messages.success(request, words)
            return redirect(done(result) if callable(done) else done)
    return render(request, template, {"form": form, **context}, status=422 if form.is_bound else 200)


def answer_button(
    request: HttpRequest, *, act: Callable[[], object], done: str | Callable[..., str], said: str = ""
) -> HttpResponse:
    """A button that does one thing: done and said, or refused with a sentence. GET never acts."""
    if request.method != "POST":
        raise Http404
    try:
        act()
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        if said:
            messages.success(request, said)
    return redirect(done)
