"""Figures people want to look at, and each of them as a file."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from django.views.defaults import permission_denied

from jobs.csv_out import write_table
from jobs.queries.reports import reports_for
from jobs.registries import reports
from jobs.reports import Report, draw
from jobs.roles import may
from jobs.spreadsheet import spreadsheet
from jobs.views.common import WorkshopRequest

ODS = "application/vnd.oasis.opendocument.spreadsheet"


@require_safe
def reports_page(request: WorkshopRequest) -> HttpResponse:
    made = [(one, draw(one.bars)) for one in reports_for(request.workshop, request.now, request.user)]
    return render(request, "jobs/reports.html", {"reports": made})


@require_safe
def report_file(request: WorkshopRequest, key: str, form: str) -> HttpResponse:
    """One report as CSV or as an OpenDocument spreadsheet."""
    source = reports.get(key)
    if source is None or form not in ("csv", "ods"):
        raise Http404
    if not may(request.user, source.asks):
        return permission_denied(request, PermissionDenied())
    report = source.make(request.workshop, request.now)
    answer = HttpResponse(_csv(report), content_type="text/csv; charset=utf-8") if form == "csv" else _ods(report)
    day = request.workshop.local_day(request.now).isoformat()
    answer["Content-Disposition"] = f'attachment; filename="{report.key}-{day}.{form}"'
    return answer


def _csv(report: Report) -> str:
    return write_table(report.columns, [dict(zip(report.columns, row, strict=True)) for row in report.rows])


def _ods(report: Report) -> HttpResponse:
    return HttpResponse(spreadsheet(report.title, report.columns, report.rows), content_type=ODS)
