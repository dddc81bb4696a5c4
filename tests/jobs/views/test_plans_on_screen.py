from __future__ import annotations

import datetime as dt
import re
import sys

import pytest
import time_machine
from django.urls import reverse

from jobs.domain.plans import keep_plan, make_plan, read_input
from jobs.models import PlanState, PlanVersion, Role, StepKind
from tests.factories import NOW, make_commission, make_maker, make_visit, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind


@pytest.fixture(autouse=True)
def _on_a_wednesday_in_march():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def shop():
    return make_workshop(hands=1)


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def signed_in(client, maker):
    client.force_login(maker)
    return client


@pytest.fixture
def late(maker):
    return make_commission(maker=maker, nickname="Tannery", promised={K.HANDOVER: dt.date(2027, 3, 19)})


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


@pytest.fixture
def offered(shop, late):
    """A version put on offer by hand, with one move a client was told of."""
    make_plan(found=read_input(shop, NOW), now=NOW, actor=None)
    current = PlanVersion.objects.get()
    step = late.steps.get(kind=K.HANDOVER)
    return PlanVersion.objects.create(
        made_at=NOW,
        method="improved",
        seed=1,
        solver_version="ortools 9",
        input_hash=current.input_hash,
        terms={"late": 40, "floor": 9, "moved_told": 0, "shift": 0},
        places=current.places,
        moved=[[step.pk, "2027-04-20", 0, "2027-04-19", 1, True]],
        state=PlanState.OFFERED,
    )


def test_friday_sheet_answers_what_bunches_what_is_late_and_where_is_room(signed_in, shop, late):
    keep_plan(shop, NOW)
    page = words_of(signed_in.get(reverse("friday")))
    assert re.search(r"What is late ▲ Tannery [\d½]+ days late", page)
    assert "What bunches Nothing" in page
    assert "Where is room This week: " in page
    assert "Tannery: Handover was to be over by Friday 19 March, afternoon (the client was told)" in page
    assert "What would help, the best first" in page
    assert "not installed" not in page


def test_friday_sheet_before_any_plan_and_without_the_improver(signed_in, shop, late, monkeypatch):
    monkeypatch.setattr("jobs.queries.plan_versions.solver_present", lambda: False)
    page = words_of(signed_in.get(reverse("friday")))
    assert "The plan stands without the improver" in page
    assert "No plan has been stored yet" in page


def test_empty_friday_sheet_offers_the_first_commission(signed_in, shop):
    assert reverse("new_commission") in signed_in.get(reverse("friday")).content.decode()


@pytest.mark.parametrize("count", [2, 9])
def test_friday_sheet_takes_twelve_queries_whatever_the_size(
    signed_in, shop, maker, django_assert_num_queries, count
):
    """Session, person, workshop; six of the live record; clashes, versions, and what is on offer."""
    for _ in range(count):
        make_visit(make_commission(maker=maker))
    keep_plan(shop, NOW)
    signed_in.get(reverse("friday"))
    with django_assert_num_queries(12):
        signed_in.get(reverse("friday"))


@pytest.mark.parametrize("show", ["", "?show=abc", "?show=999999999999999999999", "?show=1&show=2&show=3&show=4"])
def test_what_is_chosen_may_be_nonsense(signed_in, shop, late, show):
    assert signed_in.get(reverse("friday") + show).status_code == 200


def test_a_chosen_commission_is_drawn_heavily(signed_in, shop, late, maker):
    other = make_commission(maker=maker, nickname="Mill Row", done=up_to(K.WRAP))
    page = signed_in.get(f"{reverse('friday')}?show={other.number}").content.decode()
    assert f"Heavy: {other.number} Mill Row." in page
    assert "thread heavy" in page


def test_the_offer_is_shown_and_taken(signed_in, offered, maker):
    page = words_of(signed_in.get(reverse("friday")))
    assert "A better plan was found" in page
    assert "1 of the steps it moves has a date that the client was told" in page
    assert "Tannery Handover Tue 20 Apr morning Mon 19 Apr afternoon was told a date" in page
    response = signed_in.post(reverse("accept_plan", args=[offered.pk]), follow=True)
    assert "The better plan is in force" in words_of(response)
    offered.refresh_from_db()
    assert (offered.state, offered.decided_by) == (PlanState.CURRENT, maker)


def test_the_offer_is_turned_down(signed_in, offered):
    response = signed_in.post(reverse("decline_plan", args=[offered.pk]), follow=True)
    assert "The plan stays as it is" in words_of(response)
    again = signed_in.post(reverse("accept_plan", args=[offered.pk]), follow=True)
    assert "not on offer any more" in words_of(again)


def test_get_never_decides(signed_in, offered):
    for name in ("accept_plan", "decline_plan"):
        assert signed_in.get(reverse(name, args=[offered.pk])).status_code == 404
    offered.refresh_from_db()
    assert offered.state == PlanState.OFFERED


def test_a_version_says_how_it_was_made(signed_in, offered):
    page = words_of(signed_in.get(reverse("plan_version", args=[offered.pk])))
    for words in ("improved", "ortools 9", "49: late dates 40, floor taken 9", "Offered"):
        assert words in page
    assert signed_in.get(reverse("plan_version", args=[0])).status_code == 404


def test_the_commission_page_gives_each_date_its_reason(signed_in, shop, late):
    keep_plan(shop, NOW)
    page = words_of(signed_in.get(late.get_absolute_url()))
    assert "Why not earlier" in page
    assert "Follows Survey (done Wednesday 10 March, morning)." in page
    assert "given for Fri 19" in page
    assert "kept under 1 in 100 times" in page
    assert "Chances: not enough history" in page
    assert reverse("what_would_help", args=[late.number]) in signed_in.get(late.get_absolute_url()).content.decode()


def test_chances_are_left_out_until_they_are_worked_out_again(signed_in, shop, late):
    keep_plan(shop, NOW)
    late.steps.filter(kind=K.DOORS).update(allowance_hours=60)
    assert "The chances are being worked out again" in words_of(signed_in.get(late.get_absolute_url()))


def test_a_held_and_a_refused_commission_say_so(signed_in, shop, maker):
    held = make_commission(maker=maker, held_since=NOW.date())
    assert "On hold: not in the plan" in words_of(signed_in.get(held.get_absolute_url()))
    bad = make_commission(maker=maker)
    bad.steps.filter(kind=K.DOORS).update(hands=4)
    assert "asks for 4 of pairs of hands" in words_of(signed_in.get(bad.get_absolute_url()))


def test_what_would_help_is_worked_out_without_the_solver(signed_in, shop, late, monkeypatch):
    """No plan stored: the page tries the remedies itself, and must not import ortools for it."""
    monkeypatch.setitem(sys.modules, "ortools", None)
    page = words_of(signed_in.get(reverse("what_would_help", args=[late.number])))
    assert "Doors back from the sprayer 2 working days sooner" in page
    on_time = make_commission(maker=late.maker)
    assert "Nothing is late" in words_of(signed_in.get(reverse("what_would_help", args=[on_time.number])))
    assert signed_in.get(reverse("what_would_help", args=[1])).status_code == 404


def test_pages_want_a_login_and_no_helper(client, shop, late, offered):
    names = [("friday", []), ("plan_version", [offered.pk]), ("what_would_help", [late.number])]
    for name, args in names:
        assert client.get(reverse(name, args=args)).status_code == 302
        assert client.post(reverse(name, args=args)).status_code in (302, 405)
    client.force_login(make_maker(name="Sam Ashby", email="sam@example.org", role=Role.HELPER))
    for name, args in [*names, ("accept_plan", [offered.pk])]:
        assert client.get(reverse(name, args=args)).status_code == 403
