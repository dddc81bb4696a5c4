from __future__ import annotations

from collections import Counter

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.domain import snags as domain
from jobs.forms.works import AgreeSnagForm, FinishSnagForm, SnagForm
from jobs.models import VIEWING_RULE, Snag, SnagCause
from jobs.views.common import WorkshopRequest, answer_button, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def snags(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = list(commission.snags.select_related("room", "person", "subcontractor", "photograph", "done_photograph"))
    causes = Counter(snag.cause for snag in found)
    return render(
        request,
        "jobs/snags.html",
        {
            "commission": commission,
            "snags": found,
            "causes": [(SnagCause(cause).label, count) for cause, count in causes.most_common()],
            "viewing_rule": VIEWING_RULE,
            "today": request.workshop.local_day(request.now),
        },
    )


def note_snag(request: WorkshopRequest, number: int) -> HttpResponse:
    snag = Snag(commission=the_commission(number), seen_on=request.workshop.local_day(request.now))
    return _snag(request, snag, "Note a snag")


def the_snag(pk: int) -> Snag:
    return get_object_or_404(Snag.objects.select_related("commission"), pk=pk)


def edit_snag(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _snag(request, the_snag(pk), "Change the snag")


def _snag(request: WorkshopRequest, snag: Snag, title: str) -> HttpResponse:
    form = SnagForm(request.POST or None, instance=snag, commission=snag.commission)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.save_snag(
            snag=form.save(commit=False),
            today=request.workshop.local_day(request.now),
            now=request.now,
            actor=request.user,
        ),
        commission=snag.commission,
        back=sheet_url("snags", snag.commission),
        title=title,
        submit="Save the snag",
        lead=VIEWING_RULE,
    )


def finish_snag(request: WorkshopRequest, pk: int) -> HttpResponse:
    snag = the_snag(pk)
    form = FinishSnagForm(request.POST or None, commission=snag.commission)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.finish_snag(
            snag=snag, photograph=form.cleaned_data["photograph"], now=request.now, actor=request.user
        ),
        commission=snag.commission,
        back=sheet_url("snags", snag.commission),
        title=f"Done: {snag.place}",
        submit="It is put right",
        lead=snag.words,
    )


def agree_snag(request: WorkshopRequest, pk: int) -> HttpResponse:
    snag = the_snag(pk)
    form = AgreeSnagForm(request.POST or None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.agree_snag(
            snag=snag, name=form.cleaned_data["agreed_by"], now=request.now, actor=request.user
        ),
        commission=snag.commission,
        back=sheet_url("snags", snag.commission),
        title=f"Agreed: {snag.place}",
        submit="The client agrees",
        lead=VIEWING_RULE,
    )


def reopen_snag(request: WorkshopRequest, pk: int) -> HttpResponse:
    snag = the_snag(pk)
    return answer_button(
        request,
        act=lambda: domain.reopen_snag(snag=snag, now=request.now, actor=request.user),
        done=sheet_url("snags", snag.commission),
        said="It is open again.",
    )
