from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from aftercare.domain.other_time import keep_wish, move_return_visit
from aftercare.forms.returns import OtherTimeForm, ReturnWishForm
from aftercare.models import Handover, ReturnWish
from aftercare.queries.alternatives import other_times
from aftercare.queries.return_visits import return_visit_page
from jobs.models import Visit
from jobs.views.common import WorkshopRequest, answer_form, the_commission


def the_handover(pk: int) -> Handover:
    rows = Handover.objects.select_related("commission__client", "commission__maker", "return_visit__person")
    return get_object_or_404(rows, pk=pk)


def return_visits(request: WorkshopRequest) -> HttpResponse:
    return render(request, "aftercare/return_visits.html", return_visit_page(request.workshop, request.now))


def choose_other_time(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The next best times with their reasons, each behind one button; refused ones are said over the list."""
    handover = the_handover(pk)
    form = OtherTimeForm(request.POST or None)
    client = handover.commission.client

    def act() -> Visit:
        return move_return_visit(
            handover=handover,
            starts_at=form.cleaned_data["starts_at"],
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        )

    def said(visit: Visit) -> str:
        local = request.workshop.local(visit.starts_at) if visit.starts_at else request.now
        how = "A new invite goes by mail." if client.email else "There is no e-mail: ring the client."
        return f"Moved to {local:%A} {local.day} {local:%B}, {local:%H:%M}. {how}"

    return answer_form(
        request,
        form,
        act=act,
        done=handover.commission.get_absolute_url(),
        said=said,
        template="aftercare/other_times.html",
        handover=handover,
        visit=handover.return_visit,
        commission=handover.commission,
        wish=ReturnWish.objects.filter(commission=handover.commission).first(),
        # Called by the template, so after the act: a time that was refused is offered no more.
        look=lambda: other_times(handover, request.workshop, request.now),
    )


def return_wish(request: WorkshopRequest, number: int) -> HttpResponse:
    """What the client asks for; the next search for a time goes by it."""
    commission = the_commission(number)
    wish = ReturnWish.objects.filter(commission=commission).first()
    initial = {"weekday": wish.weekday, "time": wish.time} if wish else {}
    form = ReturnWishForm(request.POST or None, initial=initial)
    standing = commission.handovers.filter(undone_at__isnull=True).first()
    back = reverse("other_times", args=[standing.pk]) if standing else commission.get_absolute_url()
    return answer_form(
        request,
        form,
        act=lambda: keep_wish(commission=commission, now=request.now, actor=request.user, **form.cleaned_data),
        done=back,
        said="The wish is noted. Nothing is moved by it: choose a time, or look for one again.",
        title="What the client would like",
        subtitle=str(commission),
        lead="For the return visit: the wish agreed last counts.",
        back=back,
        submit="Note the wish",
    )
