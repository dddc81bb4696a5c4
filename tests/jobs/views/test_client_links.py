"""The workshop side of the client page: links made and taken back, times offered."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.conf import settings
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.links import make_link
from jobs.domain.slot_offers import offer_slot
from jobs.domain.visits import book_visit
from jobs.models import (
    ClientLink,
    SlotOffer,
    Visit,
)
from tests.factories import make_commission
from tests.jobs.client_cast import (
    make_cast,
    quarter,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def maker_browser(cast) -> Browser:
    browser = Browser()
    browser.force_login(cast.maker)
    return browser


def test_a_maker_makes_a_link_sees_it_once_and_takes_it_back(cast):
    maker = maker_browser(cast)
    address = reverse("client_links", args=[cast.commission.number])
    page = maker.post(address, {"scope": "view", "days": "30"}).content.decode()
    (shown,) = re.findall(r'value="(http[^"]*/your-link/[^"]+/)"', page)
    assert shown.startswith(settings.PUBLIC_URL)
    again = maker.get(address).content.decode()
    assert "/your-link/" not in again
    link = ClientLink.objects.order_by("-pk")[0]
    assert (link.scope, link.made_by) == ("view", cast.maker)
    assert Browser().post(shown.removeprefix(settings.PUBLIC_URL)).status_code == 302
    maker.post(reverse("revoke_link", args=[link.pk]))
    assert Browser().post(shown.removeprefix(settings.PUBLIC_URL)).status_code == 403


@pytest.mark.parametrize("data", [{}, {"scope": "all", "days": "5"}, {"scope": "view", "days": "0"},
                                  {"scope": "view", "days": "400"}, {"scope": "view", "days": "many"}])  # fmt: skip
def test_a_link_that_cannot_be_made_is_refused_with_a_sentence(cast, data):
    answer = maker_browser(cast).post(reverse("client_links", args=[cast.commission.number]), data)
    assert answer.status_code == 422 and 'class="error-summary"' in answer.content.decode()
    assert ClientLink.objects.count() == 1


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_links_takes_the_same_questions_at_any_length(cast, count, django_assert_num_queries):
    for _ in range(count):
        make_link(commission=cast.commission, now=cast.now, actor=cast.maker)
    maker = maker_browser(cast)
    with django_assert_num_queries(5):
        maker.get(reverse("client_links", args=[cast.commission.number]))


def test_a_maker_offers_a_time_and_takes_it_back(cast):
    maker = maker_browser(cast)
    start = quarter(cast.now, 12)
    data = {
        "kind": "fitting", "person": cast.maker.pk, "starts_at": start.strftime("%Y-%m-%dT%H:%M"),
        "ends_at": (start + dt.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M"), "reason": "Both of us are free.",
    }  # fmt: skip
    add = reverse("offer_slot", args=[cast.commission.number])
    assert maker.post(add, data).status_code == 302
    assert maker.post(add, data).status_code == 422
    assert "Both of us are free." in cast.browser.get(reverse("client_page")).content.decode()
    offer = SlotOffer.objects.get()
    assert "Take it back" in maker.get(cast.commission.get_absolute_url()).content.decode()
    assert maker.get(reverse("withdraw_offer", args=[offer.pk])).status_code == 404
    maker.post(reverse("withdraw_offer", args=[offer.pk]))
    assert cast.browser.post(reverse("client_pick", args=[offer.pk])).status_code == 409
    assert not Visit.objects.exists()


def test_the_visits_that_an_offer_may_move_are_named_with_their_day(cast):
    start = quarter(cast.now, 12)
    book_visit(
        commission=cast.commission, kind="fitting", person=cast.maker, starts_at=start, workshop=cast.workshop,
        ends_at=start + dt.timedelta(hours=1), now=cast.now, actor=None,
    )  # fmt: skip
    local = cast.workshop.local(start)
    page = maker_browser(cast).get(reverse("offer_slot", args=[cast.commission.number])).content.decode()
    assert f"Fitting, {local:%a} {local.day} {local:%b}, {local.hour}:00</option>" in page


def test_a_past_time_is_not_offered(cast):
    start = quarter(cast.now, -2)
    data = {"kind": "fitting", "person": cast.maker.pk, "starts_at": start.strftime("%Y-%m-%dT%H:%M"),
            "ends_at": (start + dt.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M")}  # fmt: skip
    answer = maker_browser(cast).post(reverse("offer_slot", args=[cast.commission.number]), data)
    assert answer.status_code == 422 and "gone by" in answer.content.decode()


def test_another_commission_stays_out_of_reach_for_offers(cast):
    other = make_commission(maker=cast.maker)
    start = quarter(cast.now, 12)
    offer = offer_slot(commission=other, kind="fitting", person=cast.maker, starts_at=start,
                       ends_at=start + dt.timedelta(hours=1), now=cast.now, actor=None)  # fmt: skip
    assert cast.browser.post(reverse("client_pick", args=[offer.pk])).status_code == 404
