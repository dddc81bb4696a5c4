"""Clients and commissions from a CSV table: looked at first, then taken in."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from jobs.domain.csv_import import KEEPERS, Outcome, import_table
from jobs.forms.tables import TableForm
from jobs.views.common import WorkshopRequest


def import_csv(request: WorkshopRequest, kind: str) -> HttpResponse:
    """GET explains the columns; POST looks, and with `take_in` takes in what was looked at."""
    if kind not in KEEPERS:
        raise Http404
    form = TableForm(request.POST or None, request.FILES or None)
    outcome: Outcome | None = None
    if request.method == "POST" and form.is_valid():
        data = form.table_bytes()
        outcome = import_table(
            kind=kind,
            data=data,
            dry_run="take_in" not in request.POST,
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        )
        if outcome.is_kept:
            messages.success(request, f"{len(outcome.said)} {kind} were taken in.")
            return redirect(kind)
        # The lines go with the page, so that what is taken in is what was looked at.
        form = TableForm(initial={"table_text": data.decode("utf-8-sig", errors="replace")})
    status = 422 if (form.is_bound and not form.is_valid()) or (outcome and outcome.complaints) else 200
    return render(
        request,
        "jobs/import_table.html",
        {"kind": kind, "form": form, "outcome": outcome, "columns": KEEPERS[kind].explained},
        status=status,
    )
