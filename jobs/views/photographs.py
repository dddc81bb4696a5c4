"""Photographs and drawings: taken in, shown, served. Only a view serves a file, to people who are signed in."""

from __future__ import annotations

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render

from jobs.domain import drawings as drawing_domain
from jobs.domain import photographs as domain
from jobs.forms.works import ApproveForm, DrawingForm, PhotographForm, PhotographsForm
from jobs.models import DrawingVersion, Photograph, PhotographPurpose, Survey
from jobs.views.common import WorkshopRequest, answer_button, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def photographs(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = list(commission.photographs.select_related("room"))
    groups = [
        (purpose.label, [one for one in found if one.purpose == purpose.value]) for purpose in PhotographPurpose
    ]
    return render(
        request,
        "jobs/photographs.html",
        {"commission": commission, "groups": [(label, rows) for label, rows in groups if rows]},
    )


def add_photographs(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    asked = request.GET.get("survey", "")
    form = PhotographsForm(
        request.POST or None,
        request.FILES or None,
        commission=commission,
        initial={
            "purpose": request.GET.get("purpose", PhotographPurpose.WORK),
            "survey": request.GET.get("survey"),
            "wall": request.GET.get("wall"),
        },
    )
    of_survey = Survey.objects.filter(pk=asked, room__commission=commission).first() if asked.isdecimal() else None
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.add_photographs(
            commission=commission,
            files=[(file.name, file.read(domain.LARGEST_BYTES + 1)) for file in form.cleaned_data["pictures"]],
            purpose=form.cleaned_data["purpose"],
            words=form.cleaned_data["words"],
            room=form.cleaned_data["room"],
            survey=form.cleaned_data["survey"],
            wall=form.cleaned_data["wall"],
            zone=request.workshop.tz,
            now=request.now,
            actor=request.user,
        ),
        commission=commission,
        back=of_survey.get_absolute_url() if of_survey else sheet_url("photographs", commission),
        title="Add photographs",
        submit="Take them in",
    )


def the_photograph(pk: int) -> Photograph:
    return get_object_or_404(Photograph.objects.select_related("commission", "room"), pk=pk)


def edit_photograph(request: WorkshopRequest, pk: int) -> HttpResponse:
    photograph = the_photograph(pk)
    form = PhotographForm(request.POST or None, instance=photograph)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.describe_photograph(
            photograph=form.save(commit=False), now=request.now, actor=request.user
        ),
        commission=photograph.commission,
        back=sheet_url("photographs", photograph.commission),
        title="Change what is said of it",
        submit="Save it",
    )


def remove_photograph(request: WorkshopRequest, pk: int) -> HttpResponse:
    photograph = the_photograph(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_photograph(photograph=photograph, now=request.now, actor=request.user),
        done=sheet_url("photographs", photograph.commission),
        said="The photograph is gone for good.",
    )


def photograph_file(request: WorkshopRequest, pk: int) -> HttpResponseBase:
    photograph = the_photograph(pk)
    return serve(photograph.file, "image/jpeg", f"photograph-{pk}.jpg")


def photograph_small(request: WorkshopRequest, pk: int) -> HttpResponseBase:
    photograph = the_photograph(pk)
    return serve(photograph.small, "image/jpeg", f"photograph-{pk}-small.jpg")


def serve(file: FieldFile, media_type: str, name: str, *, attachment: bool = False) -> HttpResponseBase:
    """A file of ours, never guessed at by the browser, never kept by a cache on the way."""
    try:
        opened = file.open("rb")
    except (FileNotFoundError, ValueError) as fault:
        raise Http404("The file is not there.") from fault
    answer = FileResponse(opened, content_type=media_type, as_attachment=attachment, filename=name)
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, max-age=3600"
    return answer


def drawings(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = list(commission.drawings.select_related("added_by"))
    latest = {drawing.title: drawing.pk for drawing in reversed(found)}
    return render(
        request,
        "jobs/drawings.html",
        {"commission": commission, "rows": [(one, latest[one.title] == one.pk) for one in found]},
    )


def add_drawing(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    last = commission.drawings.order_by("-added_at", "-pk").first()
    form = DrawingForm(
        request.POST or None, request.FILES or None, initial={"title": last.title if last else "Drawing"}
    )
    return answer_sheet_form(
        request,
        form,
        act=lambda: drawing_domain.add_drawing(
            commission=commission,
            title=form.cleaned_data["title"],
            note=form.cleaned_data["note"],
            name=form.cleaned_data["file"].name,
            data=form.cleaned_data["file"].read(drawing_domain.LARGEST_BYTES + 1),
            now=request.now,
            actor=request.user,
        ),
        commission=commission,
        back=sheet_url("drawings", commission),
        title="Add a drawing or its next version",
        submit="Take it in",
    )


def the_drawing(pk: int) -> DrawingVersion:
    return get_object_or_404(DrawingVersion.objects.select_related("commission"), pk=pk)


def drawing_file(request: WorkshopRequest, pk: int) -> HttpResponseBase:
    """A PDF is handed over to be saved: it may carry what a browser should not run on our pages."""
    drawing = the_drawing(pk)
    is_pdf = drawing.media_type == drawing_domain.PDF
    return serve(drawing.file, drawing.media_type, drawing.file_name, attachment=is_pdf)


def approve_drawing(request: WorkshopRequest, pk: int) -> HttpResponse:
    drawing = the_drawing(pk)
    form = ApproveForm(request.POST or None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: drawing_domain.approve_drawing(
            drawing=drawing, name=form.cleaned_data["name"], now=request.now, actor=request.user
        ),
        commission=drawing.commission,
        back=sheet_url("drawings", drawing.commission),
        title=f"The client approves {drawing}",
        submit="Note the approval",
        lead="For an approval given on paper or by mail. The name, the time and the file’s hash are frozen.",
    )
