"""The steps that a new commission starts from: read, renamed, with other hours, more of them or fewer."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from jobs.domain import template_steps as domain
from jobs.forms.template_steps import NewTemplateStepForm, TemplateNameForm, TemplateStepForm
from jobs.models import Template, TemplateStep
from jobs.views.common import WorkshopRequest, answer_button, answer_form

PAGE = "steps_to_start_from"


@require_safe
def steps_to_start_from(request: WorkshopRequest) -> HttpResponse:
    templates = Template.objects.prefetch_related("steps__links_in__before")
    return render(request, "jobs/steps_to_start_from.html", {"templates": templates})


def rename_template(request: WorkshopRequest, pk: int) -> HttpResponse:
    template = get_object_or_404(Template, pk=pk)
    form = TemplateNameForm(request.POST or None, initial={"name": template.name})
    return answer_form(
        request,
        form,
        act=lambda: domain.rename_template(
            template=template, name=form.cleaned_data["name"], now=request.now, actor=request.user
        ),
        done=PAGE,
        title=f"Rename “{template}”",
        back=reverse(PAGE),
        submit="Save the name",
    )


def add_template_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    template = get_object_or_404(Template, pk=pk)
    form = NewTemplateStepForm(request.POST or None, instance=TemplateStep(template=template), template=template)
    return answer_form(
        request,
        form,
        act=lambda: domain.add_template_step(
            step=form.save(commit=False), after=form.cleaned_data["after"], now=request.now, actor=request.user
        ),
        done=PAGE,
        said="Added. Commissions opened from now on have it.",
        title="Add a step",
        subtitle=str(template),
        back=reverse(PAGE),
        submit="Add the step",
    )


def edit_template_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = get_object_or_404(TemplateStep.objects.select_related("template"), pk=pk)
    form = TemplateStepForm(request.POST or None, instance=step)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_template_step(step=form.save(commit=False), now=request.now, actor=request.user),
        done=PAGE,
        said="Saved. Commissions opened from now on have it so.",
        title=f"Change “{step.name}”",
        subtitle=str(step.template),
        back=reverse(PAGE),
        submit="Save the step",
        take_out_url=reverse("remove_template_step", args=[pk]),
        take_out_words="Take the step out",
    )


def remove_template_step(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = get_object_or_404(TemplateStep, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_template_step(step=step, now=request.now, actor=request.user),
        done=PAGE,
        said=f"“{step.name}” is taken out; commissions that are open keep theirs.",
    )
