from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from jobs.queries.more_pages import more_pages
from jobs.queries.search import search, search_text
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest


@require_safe
def search_page(request: WorkshopRequest) -> HttpResponse:
    """Everything in which each word typed stands somewhere, as far as whoever looks may read it."""
    typed = request.GET.get("q")
    if typed is None:
        return render(request, "jobs/search.html")
    try:
        text = search_text(typed)
    except Refusal as refusal:
        shown = "".join(sign for sign in typed if sign.isprintable())[:200]
        return render(request, "jobs/search.html", {"typed": shown, "refused": refusal.sentence}, status=422)
    groups = search(text, request.user)
    return render(request, "jobs/search.html", {"typed": text.text, "groups": groups, "is_asked": True})


@require_safe
def more(request: WorkshopRequest) -> HttpResponse:
    """Every page that the head has no room for, by what it is about."""
    return render(request, "jobs/more.html", {"groups": more_pages(request.user)})
