"""Consignments: the note out, as page and as PDF, the count back in, the re-do."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.urls import reverse

from jobs.documents.printing import print_document
from jobs.domain import consignments as domain
from jobs.domain.steps import edit_step
from jobs.forms.consignments import ConsignmentForm, ConsignmentItemForm, ReceiveForm, RedoForm, SendForm
from jobs.models import Commission, Consignment, ConsignmentItem, Step, StepKind
from jobs.queries.consignment_counts import count_items
from jobs.queries.consignment_page import consignment_page, consignments_page, note_context
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, answer_button, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def the_consignment(pk: int) -> Consignment:
    found = Consignment.objects.select_related("commission__client", "commission__maker", "subcontractor", "step")
    return get_object_or_404(found, pk=pk)


def consignments(request: WorkshopRequest, number: int) -> HttpResponse:
    page = consignments_page(the_commission(number), request.workshop, request.now)
    return render(request, "jobs/consignments.html", page)


def consignment(request: WorkshopRequest, pk: int) -> HttpResponse:
    page = consignment_page(the_consignment(pk), request.workshop, request.now)
    return render(request, "jobs/consignment.html", page)


def consignment_note(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The note on paper."""
    found = the_consignment(pk)
    context = note_context(found, request.workshop, request.now)
    made = print_document(
        render_to_string("pdf/consignment_note.html", context), epoch_s=int(context["drawn_at"].timestamp())
    )
    answer = HttpResponse(made.data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="consignment-{found.commission.number}-{found.number}.pdf"'
    return answer


def new_consignment(request: WorkshopRequest, number: int) -> HttpResponse:
    """The head is filled from the commission's painted finish, which is what goes to a sprayer."""
    commission = the_commission(number)
    found = Consignment(commission=commission)
    finish = commission.finishes.filter(kind="painted").first()
    if finish is not None:
        for column in ("product", "colour", "sheen_percent", "sample"):
            setattr(found, column, getattr(finish, column))
    step = commission.steps.filter(kind=StepKind.SPRAYER_BACK).first()
    if step is not None and step.subcontractor_id is not None:
        found.subcontractor_id = step.subcontractor_id
    return _consignment(request, found, "Write a consignment note", sheet_url("consignments", commission))


def edit_consignment(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_consignment(pk)
    return _consignment(request, found, f"Change consignment {found}", reverse("consignment", args=[pk]))


def _consignment(request: WorkshopRequest, found: Consignment, title: str, back: str) -> HttpResponse:
    form = ConsignmentForm(request.POST or None, instance=found)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.save_consignment(consignment=form.save(commit=False), now=request.now, actor=request.user),
        commission=found.commission,
        back=back,
        title=title,
        submit="Save the note",
    )


def add_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _item(request, ConsignmentItem(consignment=the_consignment(pk)), "Add a line to the note")


def the_item(pk: int) -> ConsignmentItem:
    return get_object_or_404(ConsignmentItem.objects.select_related("consignment__commission"), pk=pk)


def edit_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _item(request, the_item(pk), "Change a line of the note")


def _item(request: WorkshopRequest, item: ConsignmentItem, title: str) -> HttpResponse:
    form = ConsignmentItemForm(request.POST or None, instance=item)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.save_item(item=form.save(commit=False), now=request.now, actor=request.user),
        commission=item.consignment.commission,
        back=reverse("consignment", args=[item.consignment.pk]),
        title=title,
        submit="Save the line",
    )


def remove_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = the_item(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_item(item=item, now=request.now, actor=request.user),
        done=reverse("consignment", args=[item.consignment_id]),
        said="That line is off the note.",
    )


def send(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_consignment(pk)
    form = SendForm(request.POST or None, initial={"sent_at": request.now})
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.send_consignment(
            consignment=found,
            at=form.cleaned_data["sent_at"],
            promised_on=form.cleaned_data["promised_on"],
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        commission=found.commission,
        back=reverse("consignment", args=[pk]),
        title=f"Send consignment {found}",
        submit="It has gone",
        said="It is out. The step that waits for it has begun.",
    )


def receive(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_consignment(pk)
    form = ReceiveForm(request.POST or None, initial={"at": request.now}, lines=count_items(found))
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.receive_consignment(
            consignment=found,
            counts=form.counts(),
            at=form.cleaned_data["at"],
            now=request.now,
            actor=request.user,
        ),
        commission=found.commission,
        back=reverse("consignment", args=[pk]),
        title=f"Count consignment {found} in",
        submit="Counted in",
        said="Counted in.",
    )


def redo(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_consignment(pk)
    form = RedoForm(request.POST or None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.start_redo(
            consignment=found,
            promised_on=form.cleaned_data["promised_on"],
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        commission=found.commission,
        back=sheet_url("consignments", found.commission),
        title="Have it made good",
        submit="Start the re-do",
        said="A further step waits for it, with its own day.",
        lead="What is short or damaged becomes a consignment of its own, and a step that holds up what comes after.",
    )


def use_turnaround(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Plan the sprayer with one of the offered numbers of days."""
    step = get_object_or_404(Step.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: _set_lead(request, step),
        done=_back(step.commission),
        said="The plan uses that number of days.",
    )


def _back(commission: Commission) -> str:
    return sheet_url("consignments", commission)


def _set_lead(request: WorkshopRequest, step: Step) -> None:
    text = request.POST.get("lead_days", "")
    if not (text.isascii() and text.isdigit() and len(text) <= 3):
        raise Refusal("lead_days", "Lead time: give a number of working days from 0 to 200.")
    edit_step(step=step, now=request.now, actor=request.user, lead_days=int(text))
