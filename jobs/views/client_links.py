"""The workshop's side of the client page: links made, copied once and taken back; times offered."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_variables

from jobs.domain import links as domain
from jobs.domain import slot_offers
from jobs.forms.client_links import LinkForm, OfferForm
from jobs.models import ClientLink, SlotOffer
from jobs.queries.client_links import links_page
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button, answer_form, the_commission


@never_cache
@sensitive_variables("token", "address")
def client_links(request: WorkshopRequest, number: int) -> HttpResponse:
    """The page that answers the POST shows the new link, this once."""
    commission = the_commission(number)
    form = LinkForm(request.POST if request.method == "POST" else None)
    address = ""
    if form.is_bound and form.is_valid():
        try:
            _, token = domain.make_link(
                commission=commission, now=request.now, actor=request.user, **form.cleaned_data
            )
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            address, form = domain.address_of(token), LinkForm()
    page = links_page(commission, request.now) | {"form": form, "address": address}
    return render(request, "jobs/client_links.html", page, status=422 if form.errors else 200)


def revoke_link(request: WorkshopRequest, pk: int) -> HttpResponse:
    link = get_object_or_404(ClientLink.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.revoke_link(link=link, now=request.now, actor=request.user),
        done=reverse("client_links", args=[link.commission.number]),
        said="The link opens nothing any more, and whoever was in is out.",
    )


def offer_slot(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    data = request.POST if request.method == "POST" else None
    form = OfferForm(data, commission=commission, initial={"person": commission.maker_id})
    return answer_form(
        request,
        form,
        act=lambda: slot_offers.offer_slot(
            commission=commission, now=request.now, actor=request.user, **form.cleaned_data
        ),
        done=commission.get_absolute_url(),
        said="The client may pick this time on their page. It is not kept free: the first who books it has it.",
        title="Offer a time",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Offer this time",
    )


def withdraw_offer(request: WorkshopRequest, pk: int) -> HttpResponse:
    offer = get_object_or_404(SlotOffer.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: slot_offers.withdraw_offer(offer=offer, now=request.now, actor=request.user),
        done=offer.commission.get_absolute_url(),
        said="This time is no longer on offer.",
    )
