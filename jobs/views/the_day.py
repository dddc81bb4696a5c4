from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from jobs.queries.the_day import day_asked, the_day
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest


@require_safe
def day(request: WorkshopRequest) -> HttpResponse:
    """One day in order; `?on=` names another than today. What is no day is refused, with today below it."""
    today = request.workshop.local_day(request.now)
    typed, refused = request.GET.get("on", ""), ""
    try:
        on = day_asked(typed, today)
    except Refusal as refusal:
        on, refused = today, refusal.sentence
    page = the_day(request.workshop, on, request.now, request.user)
    context = {**page, "refused": refused, "typed": typed if refused else on.isoformat()}
    return render(request, "jobs/day.html", context, status=422 if refused else 200)
