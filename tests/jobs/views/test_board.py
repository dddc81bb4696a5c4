from __future__ import annotations

import gzip
import re

import pytest
import time_machine
from django.urls import reverse

from jobs.models import StepKind
from jobs.registries import board_sections
from tests.factories import (
    NOW,
    make_access,
    make_client,
    make_commission,
    make_maker,
    make_visit,
    make_workshop,
    up_to,
)

pytestmark = pytest.mark.django_db
K = StepKind
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS]


@pytest.fixture(autouse=True)
def _on_a_wednesday_in_march():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def signed_in(client, maker):
    client.force_login(maker)
    return client


def fill(maker, count):
    """Live commissions in every stage, with access and visits, and past ones that must not cost anything."""
    theirs = make_client()
    stages = [[], up_to(K.DRAWING), up_to(K.DOORS), DOORS_AWAY, up_to(K.WRAP), up_to(K.RETURN_VISIT)]
    for number in range(count):
        done = stages[number % len(stages)]
        one = make_commission(maker=maker, client=theirs, nickname=f"Mill Row {number}", done=done)
        kind = "return" if K.HANDOVER in done else "delivery"
        make_visit(one, kind=kind, starts_at=NOW.replace(day=11 + number % 20))
        make_access(one)
    for _ in range(3):
        make_commission(maker=maker, client=theirs, closed_on=NOW.date())


@pytest.mark.parametrize("count", [6, 60])
def test_board_takes_twelve_queries_whatever_the_size(signed_in, maker, django_assert_num_queries, count):
    """Session, person, workshop, six of the live record, one each for the post and for what is to see to."""
    make_workshop()
    fill(maker, count)
    with django_assert_num_queries(12):
        response = signed_in.get(reverse("job_board"))
    assert response.content.count(b'<th scope="row">') == count * 5 // 6


def test_sixty_live_commissions_stay_under_sixty_kilobytes(signed_in, maker):
    """The budget of DESIGN 10: at most 60 kB compressed."""
    make_workshop()
    fill(maker, 60)
    assert len(gzip.compress(signed_in.get("/").content)) <= 60_000


def test_board_answers_what_is_next_late_and_waited_for(signed_in, maker):
    make_workshop(name="Fieldgate Joinery")
    make_visit(make_commission(maker=maker, nickname="Mill Row", done=up_to(K.DELIVER)))
    make_commission(maker=maker, nickname="Tannery", done=DOORS_AWAY, running=[K.CARCASSES])
    page = re.sub(r"<[^>]+>|\s+", " ", signed_in.get("/").content.decode())
    page = re.sub(r"\s+", " ", page)
    assert "Wed 10 March up to date 10:42" in page
    assert "Next Mill Row Carry in Thu 11, 10:42" in page
    assert "Waiting for Tannery doors Tue 23" in page
    assert "Late Nothing" in page


def test_nothing_private_is_on_the_board(signed_in, maker):
    make_workshop()
    one = make_commission(
        maker=maker, nickname="Tannery", held_since=NOW.date(), hold_reason="waiting for a hospital date"
    )
    two = make_commission(maker=maker, client=one.client, done=up_to(K.DELIVER))
    make_access(two, parking="bay 4", notes="dog called Bess")
    make_visit(two)
    board = signed_in.get("/").content.decode().split("<main", 1)[1].split("</main>")[0]
    for secret in (
        "Quennell",
        "Marchbanks",
        "+441632",
        "01632",
        "7 Tannery Lane",
        "hospital",
        "bay 4",
        "Bess",
        maker.name,
    ):
        assert secret not in board


def test_no_inline_style_or_script(signed_in, maker):
    """The content security policy allows neither."""
    make_workshop()
    fill(maker, 6)
    page = signed_in.get("/").content.decode()
    assert re.findall(r"\sstyle=|<style|\son\w+=", page) == []
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", page))


def test_first_visit_offers_the_set_up(signed_in):
    page = signed_in.get("/").content.decode()
    assert f'href="{reverse("workshop")}">Set up the workshop</a>' in page


def test_empty_board_offers_the_first_commission(signed_in):
    make_workshop()
    page = signed_in.get("/").content.decode()
    assert f'href="{reverse("new_commission")}">Enter the first commission</a>' in page


def test_board_needs_a_login(client):
    response = client.get("/")
    assert (response.status_code, response["Location"]) == (302, "/account/login/?next=/")


def test_board_is_only_read(signed_in):
    make_workshop()
    assert signed_in.post("/").status_code == 405


def test_other_apps_may_add_a_section(signed_in, maker, monkeypatch):
    make_workshop()
    monkeypatch.setattr(board_sections, "entries", {})
    board_sections.add("words", lambda request, now: ("includes/empty.html", {"words": f"Seen at {now:%H:%M}"}))
    page = signed_in.get("/").content.decode()
    assert "Seen at 10:42" in page
