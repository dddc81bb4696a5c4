"""The Friday sheet, the plan offered, and what would help a late commission."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from jobs.domain import plans as domain
from jobs.models import PlanVersion
from jobs.queries import friday as queries
from jobs.queries.plan_page import clashes_of, help_page
from jobs.queries.plan_versions import version_page, versions_part
from jobs.views.common import WorkshopRequest, answer_button, the_commission


@require_safe
def friday(request: WorkshopRequest) -> HttpResponse:
    """Six weeks of all commissions: what bunches, what is late, where is room."""
    if request.workshop is None:
        return render(request, "jobs/board_empty.html")
    chosen = [int(number) for number in request.GET.getlist("show") if number.isascii() and number.isdigit()]
    sheet, planned = queries.friday_sheet(request.workshop, request.now, chosen[: queries.HEAVY])
    context = {
        "friday": sheet,
        "today": planned.view.today,
        "clashes": clashes_of(planned),
        "is_chosen": bool(chosen),
        "heavy": {line.number for line in sheet.heavy},
        "late": {line.number for line in sheet.late},
        "threads": sheet.sheet.threads_of(line.number for line in sheet.heavy),
        **versions_part(request.workshop, request.now),
    }
    return render(request, "jobs/friday.html", context)


@require_safe
def plan_version(request: WorkshopRequest, pk: int) -> HttpResponse:
    version = get_object_or_404(PlanVersion, pk=pk)
    return render(request, "jobs/friday/version.html", version_page(version, request.workshop, request.now))


@require_safe
def what_would_help(request: WorkshopRequest, number: int) -> HttpResponse:
    """Worked out when asked for, so that the commission's page stays quick."""
    context = help_page(the_commission(number), request.workshop, request.now)
    return render(request, "jobs/friday/help.html", context)


def accept_plan(request: WorkshopRequest, pk: int) -> HttpResponse:
    version = get_object_or_404(PlanVersion, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.accept_plan(version=version, now=request.now, actor=request.user),
        done="friday",
        said="The better plan is in force. Nothing was sent to a client: move a visit where its day has changed.",
    )


def decline_plan(request: WorkshopRequest, pk: int) -> HttpResponse:
    version = get_object_or_404(PlanVersion, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.decline_plan(version=version, now=request.now, actor=request.user),
        done="friday",
        said="The plan stays as it is.",
    )
