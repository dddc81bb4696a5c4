"""A room measured, read back, and what has changed since."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from jobs.domain import surveys as domain
from jobs.forms.surveys import (
    DeclarationForm,
    FeatureForm,
    RunForm,
    SurveyForm,
    WorkSinceForm,
    declared,
    run_initial,
)
from jobs.models import Room, RoomFeature, RunPlan, Survey, SurveyPurpose, WorkSince
from jobs.pure_errors import MeasureError
from jobs.queries.room_readings import make_run
from jobs.queries.survey_page import NUDGES_MM, RunView, room_page, run_view, survey_page, survey_section
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button, answer_form, the_commission


def the_room(pk: int) -> Room:
    return get_object_or_404(Room.objects.select_related("commission__client"), pk=pk)


def the_survey(pk: int) -> Survey:
    surveys = Survey.objects.select_related("room__commission", "taken_by", "signed_off_by")
    return get_object_or_404(surveys, pk=pk)


def room_url(room: Room) -> str:
    return reverse("room", args=[room.pk])


def room(request: WorkshopRequest, pk: int) -> HttpResponse:
    page = room_page(the_room(pk))
    return render(request, "jobs/room.html", {**page, "purposes": SurveyPurpose})


def survey(request: WorkshopRequest, pk: int) -> HttpResponse:
    return render(request, "jobs/survey.html", survey_page(the_survey(pk)))


def add_survey(request: WorkshopRequest, pk: int, purpose: str) -> HttpResponse:
    if purpose not in SurveyPurpose.values:
        raise Http404
    taken_on = request.workshop.local_day(request.now)
    fresh = Survey(room=the_room(pk), purpose=purpose, taken_on=taken_on, taken_by=request.user)
    return _survey(request, fresh, f"{SurveyPurpose(purpose).label}: {fresh.room}")


def edit_survey(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_survey(pk)
    return _survey(request, found, f"Change the readings: {found.room}")


def _survey(request: WorkshopRequest, target: Survey, title: str) -> HttpResponse:
    form = SurveyForm(request.POST or None, instance=target)
    return answer_form(
        request,
        form,
        act=lambda: domain.record_survey(
            survey=form.save(commit=False),
            sizes=form.sizes(),
            today=request.workshop.local_day(request.now),
            now=request.now,
            actor=request.user,
        ),
        done=lambda kept: kept.get_absolute_url(),
        said="Kept. Read it back below.",
        template="jobs/survey_form.html",
        title=title,
        subtitle=str(target.room.commission),
        back=room_url(target.room),
        submit="Keep the readings",
    )


def sign_off_survey(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_survey(pk)
    return answer_button(
        request,
        act=lambda: domain.sign_off_remeasure(survey=found, now=request.now, actor=request.user),
        done=found.get_absolute_url(),
        said=f"The re-measure of {found.room} is signed off: it is what gets cut to.",
    )


def add_feature(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _feature(request, RoomFeature(room=the_room(pk)), "What is on a wall")


def edit_feature(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(RoomFeature.objects.select_related("room__commission"), pk=pk)
    return _feature(request, found, f"Change {found}")


def _feature(request: WorkshopRequest, feature: RoomFeature, title: str) -> HttpResponse:
    form = FeatureForm(request.POST or None, instance=feature)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_feature(feature=form.save(commit=False), now=request.now, actor=request.user),
        done=room_url(feature.room),
        title=title,
        subtitle=f"{feature.room}, {feature.room.commission}",
        back=room_url(feature.room),
        submit="Save it",
    )


def remove_feature(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(RoomFeature.objects.select_related("room__commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_feature(feature=found, now=request.now, actor=request.user),
        done=room_url(found.room),
        said=f"{found} is off the wall again.",
    )


def room_run(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Move the run: GET looks at any widths and position, POST keeps them."""
    target = the_room(pk)
    plan = RunPlan.objects.filter(room=target).first()
    data = request.POST if request.method == "POST" else (request.GET or None)
    form = RunForm(data, initial=run_initial(plan))
    view = _looked_at(target, form, plan)
    if request.method == "POST" and form.is_valid() and view is not None:
        try:
            domain.keep_run(plan=_plan(target, form, view), now=request.now, actor=request.user)
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            return redirect(room_url(target))
    context = {"form": form, "room": target, "view": view, "plan": plan, "nudges": _nudges(form, view)}
    return render(request, "jobs/room_run.html", context, status=422 if form.is_bound and form.errors else 200)


def _looked_at(target: Room, form: RunForm, plan: RunPlan | None) -> RunView | None:
    try:
        if form.is_bound:
            if not form.is_valid():
                return None
            typed = form.cleaned_data
            run = make_run(
                typed["widths"], typed["doors"], typed["depth_mm"], typed["door_bottom_mm"], typed["door_top_mm"]
            )
            return run_view(target, run, typed["position_mm"])
        if plan is None:
            return None
        run = make_run(plan.widths_mm, plan.doors, plan.depth_mm, plan.door_bottom_mm, plan.door_top_mm)
        return run_view(target, run, plan.position_mm)
    except MeasureError as fault:
        return RunView(None, (), None, fault.sentence)


def _plan(target: Room, form: RunForm, view: RunView) -> RunPlan:
    typed = form.cleaned_data
    if view.placing is None:
        raise Refusal("", view.fault)
    plan = RunPlan.objects.filter(room=target).first() or RunPlan(room=target)
    plan.widths_mm, plan.doors = typed["widths"], typed["doors"]
    plan.depth_mm, plan.position_mm = typed["depth_mm"], view.placing.position_mm
    plan.door_bottom_mm, plan.door_top_mm = typed["door_bottom_mm"], typed["door_top_mm"]
    return plan


def _nudges(form: RunForm, view: RunView | None) -> list[tuple[str, int]]:
    """Buttons that move the run: words and the position each leads to; none outside the opening."""
    if view is None or view.placing is None:
        return []
    here, most = view.placing.left_mm, view.placing.left_mm + view.placing.right_mm
    return [
        (f"{abs(step_mm)} mm {'left' if step_mm < 0 else 'right'}", here + step_mm)
        for step_mm in NUDGES_MM
        if 0 <= here + step_mm <= most
    ]


def changes(request: WorkshopRequest, number: int) -> HttpResponse:
    """How old the surveys are, what has been done since, what the client says, and what holds cutting."""
    commission = the_commission(number)
    page = survey_section(commission, request.now)
    return render(request, "jobs/changes.html", {"commission": commission, **page})


def add_declaration(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = DeclarationForm(request.POST or None, initial={"declared_at": request.now})
    return answer_form(
        request,
        form,
        act=lambda: domain.declare_nothing_changed(
            commission=commission, now=request.now, actor=request.user, **declared(form)
        ),
        done=reverse("changes", args=[number]),
        said="The client's word is noted.",
        title="What the client says",
        subtitle=str(commission),
        back=reverse("changes", args=[number]),
        submit="Note it",
    )


def add_work_since(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    today = request.workshop.local_day(request.now)
    form = WorkSinceForm(request.POST or None, instance=WorkSince(commission=commission, done_on=today))
    return answer_form(
        request,
        form,
        act=lambda: domain.note_work_since(
            work=form.save(commit=False), today=today, now=request.now, actor=request.user
        ),
        done=reverse("changes", args=[number]),
        said="The work is noted.",
        title="Work in the house since the survey",
        subtitle=str(commission),
        back=reverse("changes", args=[number]),
        submit="Note the work",
    )


def remove_work_since(request: WorkshopRequest, pk: int) -> HttpResponse:
    work = get_object_or_404(WorkSince.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_work_since(work=work, now=request.now, actor=request.user),
        done=reverse("changes", args=[work.commission.number]),
        said="The work is out of the list.",
    )
