from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.views.decorators.http import require_safe

from jobs.queries.board import job_board
from jobs.registries import board_sections


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """The Job board: what is next, what is late, what we wait for."""
    workshop, now = request.workshop, request.now  # type: ignore[attr-defined]
    sections = [fill(request, now) for fill in board_sections.all()]
    context = {
        "board": job_board(workshop, now),
        "sections": [render_to_string(template, extra, request) for template, extra in sections],
    }
    return render(request, "jobs/board.html", context)
