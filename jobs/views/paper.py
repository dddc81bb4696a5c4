"""PDFs of our papers, or back to the page with the sentence that says why there is none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string

from jobs.documents.printing import DocumentNotMade, print_document
from jobs.views.common import WorkshopRequest


def paper(
    request: WorkshopRequest, template: str, context: Mapping[str, Any], *, name: str, back: str
) -> HttpResponse:
    """The template as a PDF called `name`, dated now; shown by the browser rather than saved."""
    html = render_to_string(
        template, {**context, "workshop": request.workshop, "drawn_at": request.now, "for_print": True}
    )
    try:
        document = print_document(html, epoch_s=int(request.now.timestamp()))
    except DocumentNotMade as fault:
        messages.error(request, str(fault))
        return redirect(back)
    answer = HttpResponse(document.data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer
