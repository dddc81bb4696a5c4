from __future__ import annotations

from collections.abc import Callable

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from aftercare.domain import handover as handovers
from aftercare.domain.return_visit import book_return_visit
from aftercare.forms.records import HandoverForm
from aftercare.models import Handover, IssuedPack
from aftercare.pack.gather_pictures import Pictures
from aftercare.pack.page import pack_context
from jobs.models import VisitState
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def the_handover(pk: int) -> Handover:
    rows = Handover.objects.select_related("commission__client", "commission__maker", "return_visit", "by")
    return get_object_or_404(rows, pk=pk)


def hand_over(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = HandoverForm(request.POST or None, now=request.now)

    def act() -> Handover:
        facts = dict(form.cleaned_data)
        return handovers.hand_over(
            commission=commission,
            at=facts.pop("handed_over_at"),
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
            **facts,
        )

    return answer_form(
        request,
        form,
        act=act,
        done=commission.get_absolute_url(),
        said=_what_happened(commission.client.email),
        title="Hand over",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Hand over",
    )


def _what_happened(email: str) -> Callable[[Handover], str]:
    def words(handover: Handover) -> str:
        visit = handover.return_visit
        if visit is None or visit.state == VisitState.TO_ARRANGE:
            return "Handed over. No day for the return visit was found: it is on the board, to arrange."
        how = "The invite and the pack go by mail." if email else "There is no e-mail: ring the client."
        return f"Handed over. The return visit is booked. {how}"

    return words


def undo_handover(request: WorkshopRequest, pk: int) -> HttpResponse:
    handover = the_handover(pk)
    return answer_button(
        request,
        act=lambda: handovers.undo_handover(
            handover=handover, workshop=request.workshop, now=request.now, actor=request.user
        ),
        done=handover.commission.get_absolute_url(),
        said="The handover is undone. If the client had heard of the return visit, they are told.",
    )


def rebook_return_visit(request: WorkshopRequest, pk: int) -> HttpResponse:
    handover = the_handover(pk)
    return answer_button(
        request,
        act=lambda: book_return_visit(
            handover=handover, workshop=request.workshop, now=request.now, actor=request.user
        ),
        done=handover.commission.get_absolute_url(),
        said="The best free time has been looked for again.",
    )


def pack_page(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The handover pack as a page, from the record as it stands."""
    return render(
        request, "aftercare/pack_page.html", pack_context(the_handover(pk), request.now, pictures=Pictures.LINKS)
    )


def issued_pack(request: WorkshopRequest, pk: int) -> HttpResponseBase:
    """The pack as it was issued, byte for byte."""
    pack = get_object_or_404(IssuedPack.objects.select_related("handover__commission"), pk=pk)
    if not pack.file.name or not pack.file.storage.exists(pack.file.name):
        raise Http404
    name = f"handover-pack-{pack.handover.commission.number}-revision-{pack.revision}.pdf"
    return FileResponse(pack.file.open("rb"), filename=name, content_type="application/pdf")
