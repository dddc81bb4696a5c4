from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import steps as domain
from jobs.domain.gates import holding
from jobs.forms.commissions import FinishStepForm, NewStepForm, StartStepForm, StepForm
from jobs.models import Step, StepKind
from jobs.queries.hours_page import logged_hours
from jobs.queries.turnaround import turnaround_words
from jobs.roles import may
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def the_step(pk: int) -> Step:
    return get_object_or_404(Step.objects.select_related("commission__client", "subcontractor"), pk=pk)


def place_after(request: WorkshopRequest, step: Step) -> str:
    """Where a tick leads: the commission, or its steps alone for who may not open the commission."""
    commission = step.commission
    if may(request.user, "commission"):
        return commission.get_absolute_url()
    return reverse("tick_steps", args=[commission.number])


def tick_steps(request: WorkshopRequest, number: int) -> HttpResponse:
    """The steps of one commission to tick, for the wall and for helpers: no client, no contact, no money."""
    commission = the_commission(number)
    steps = commission.steps.exclude(kind=StepKind.HANDOVER)
    return render(request, "jobs/tick_steps.html", {"commission": commission, "steps": steps})


def start_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One tap starts it now; the form is for a time that lies back."""
    step = the_step(pk)
    held_by = holding(step, request.now)
    form = StartStepForm(request.POST or None, initial={"started_at": request.now}, held_by=held_by)
    return answer_form(
        request,
        form,
        act=lambda: domain.start_step(
            step=step,
            at=form.cleaned_data["started_at"],
            now=request.now,
            actor=request.user,
            override_reason=form.reason(),
        ),
        done=place_after(request, step),
        said=f"“{step.name}” has started.",
        title=f"Start “{step.name}”",
        subtitle=str(step.commission),
        back=place_after(request, step),
        submit="Start",
        cautions=held_by,
    )


def finish_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = the_step(pk)
    held_by = holding(step, request.now)
    first = {"finished_at": request.now, "actual_hours": logged_hours(step)}
    form = FinishStepForm(request.POST or None, initial=first, held_by=held_by)
    return answer_form(
        request,
        form,
        act=lambda: domain.finish_step(
            step=step,
            at=form.cleaned_data["finished_at"],
            actual_hours=form.cleaned_data["actual_hours"],
            now=request.now,
            actor=request.user,
            override_reason=form.reason(),
        ),
        done=place_after(request, step),
        said=f"“{step.name}” is done.",
        title=f"Finish “{step.name}”",
        subtitle=str(step.commission),
        back=place_after(request, step),
        submit="Done",
        cautions=held_by,
    )


def reopen_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = the_step(pk)
    return answer_button(
        request,
        act=lambda: domain.reopen_step(step=step, now=request.now, actor=request.user),
        done=place_after(request, step),
        said=f"“{step.name}”: taken back.",
    )


def edit_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = the_step(pk)
    form = StepForm(request.POST or None, instance=the_step(pk))
    return answer_form(
        request,
        form,
        act=lambda: domain.edit_step(step=step, now=request.now, actor=request.user, **form.cleaned_data),
        done=step.commission.get_absolute_url(),
        title=f"Change “{step.name}”",
        subtitle=str(step.commission),
        back=step.commission.get_absolute_url(),
        submit="Save the step",
        lead=turnaround_words(step.subcontractor, request.workshop),
        take_out_url=None if step.started_at else reverse("remove_step", args=[pk]),
        take_out_words="Take this step out",
    )


def add_step(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    step = Step(commission=commission, position=commission.steps.count())
    form = NewStepForm(request.POST or None, instance=step, commission=commission)
    return answer_form(
        request,
        form,
        act=lambda: domain.add_step(
            step=form.save(commit=False),
            after=list(form.cleaned_data["after"]),
            before=list(form.cleaned_data["before"]),
            now=request.now,
            actor=request.user,
        ),
        done=commission.get_absolute_url(),
        title="Add a step",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Add the step",
    )


def remove_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = the_step(pk)
    name, back = step.name, step.commission.get_absolute_url()
    return answer_button(
        request,
        act=lambda: domain.remove_step(step=step, now=request.now, actor=request.user),
        done=back,
        said=f"“{name}” is out of this commission.",
    )
