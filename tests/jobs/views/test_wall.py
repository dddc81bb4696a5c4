"""The wall pages: what they show, what can be ticked and taken back, and what they must never say."""

from __future__ import annotations

import datetime as dt
import gzip
import re

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.sign_in import add_wall_screen, pair_wall_screen
from jobs.domain.visits import move_visit
from jobs.models import DaybookLine, Device, StagePayment, Step, StepKind
from jobs.wall_sizes import ScreenSizes
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
BOARD, WHERE, SCREEN = "/wall/board/", "/where/", "/wall/screen/"


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture(autouse=True)
def shop(clock):
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def signed_in(client, maker):
    client.force_login(maker)
    return client


@pytest.fixture
def screen(maker):
    """A browser paired as a wall screen."""
    _, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    _, token = pair_wall_screen(code=code, now=NOW)
    browser = Browser()
    browser.cookies["wall"] = token
    return browser


def page(browser, address):
    answer = browser.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def seen(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html.split("<main", 1)[-1]))


def fill(maker, count):
    theirs = make_client()
    stages = [[], up_to(K.DRAWING), up_to(K.DOORS), DOORS_AWAY, up_to(K.WRAP), up_to(K.FIT)]
    for number in range(count):
        one = make_commission(maker=maker, client=theirs, nickname=f"Mill Row {number}", done=stages[number % 6])
        make_visit(one, starts_at=NOW.replace(day=11 + number % 20))
        make_access(one)


@pytest.mark.parametrize("count", [6, 60])
def test_wall_board_takes_ten_queries_whatever_the_size(signed_in, maker, django_assert_num_queries, count):
    """Session, person, workshop, the six of the live record, and the daybook."""
    fill(maker, count)
    with django_assert_num_queries(10):
        answer = signed_in.get(BOARD)
    assert answer.content.count(b"data-row=") == count


@pytest.mark.parametrize("count", [6, 60])
def test_where_takes_eleven_queries_whatever_the_size(signed_in, maker, django_assert_num_queries, count):
    fill(maker, count)
    with django_assert_num_queries(11):
        signed_in.get(WHERE)


@pytest.mark.parametrize("address", [BOARD, WHERE])
def test_sixty_commissions_stay_under_sixty_kilobytes(signed_in, maker, address):
    fill(maker, 60)
    assert len(gzip.compress(signed_in.get(address).content)) <= 60_000


def test_three_questions_and_the_hour_of_it(screen, maker):
    make_visit(make_commission(maker=maker, nickname="Mill Row", done=up_to(K.DELIVER)))
    make_commission(maker=maker, nickname="Tannery", done=DOORS_AWAY, running=[K.CARCASSES])
    words = seen(page(screen, BOARD))
    assert "Wed 10 March up to date 10:42" in words
    assert "Next Mill Row Carry in Thu 11, 10:42" in words
    assert "Waiting for Tannery doors Tue 23" in words
    assert "Late Nothing" in words


def test_the_part_is_the_wall_alone(screen, maker):
    make_commission(maker=maker)
    for address in (BOARD, WHERE):
        part, whole = page(screen, f"{address}?part=1"), page(screen, address)
        assert "<html" not in part and part.lstrip().startswith('<div id="wall"')
        assert part.strip()[:200] == whole[whole.index('<div id="wall"') :][:200]


def test_first_nine_rows_have_a_key(screen, maker):
    for _ in range(11):
        make_commission(maker=maker, done=DOORS_AWAY)
    keys = re.findall(r'id="row-\d+"[^>]* data-keys="(\d?)"', page(screen, BOARD))
    assert keys == [*"123456789", "", ""]


def test_a_picked_row_offers_its_steps(screen, maker):
    one = make_commission(maker=maker, done=DOORS_AWAY)
    html = page(screen, f"{BOARD}?row={one.number}")
    steps = {step.kind: step for step in one.steps.all()}
    assert f'action="{reverse("wall_start", args=[steps[K.CARCASSES].pk])}"' in html
    assert f'action="{reverse("wall_done", args=[steps[K.SPRAYER_BACK].pk])}"' in html
    # Doors at the sprayer have begun their wait by themselves: there is nothing to start.
    assert reverse("wall_start", args=[steps[K.SPRAYER_BACK].pk]) not in html
    keys = [key for keys in re.findall(r'id="(?:start|done)-\d+" data-keys="([^"]+)"', html) for key in keys.split()]
    assert len(set(keys)) == len(keys) and {"s", "d"} < set(keys)


def test_a_row_that_is_not_there_is_no_fault(screen, maker):
    make_commission(maker=maker)
    for odd in ("999", "x", "-1", "9" * 40, "١"):
        assert "data-panel" not in page(screen, f"{BOARD}?row={odd}&undo={odd}")


def test_tick_and_undo(screen, maker):
    one = make_commission(maker=maker, nickname="Mill Row", done=up_to(K.INSPECT))
    step = one.steps.get(kind=K.INSPECT)
    answer = screen.post(reverse("wall_done", args=[step.pk]))
    line = DaybookLine.objects.latest("pk")
    assert answer["Location"] == f"{BOARD}?row={one.number}&undo={line.pk}"
    step.refresh_from_db()
    assert step.finished_at == NOW and line.act == "finish_step" and line.facts["device"] == Device.objects.get().pk
    html = page(screen, answer["Location"])
    assert "Mill Row Finished: Doors inspected." in seen(html) and 'data-goes-after-s="10"' in html
    undone = screen.post(reverse("wall_undo", args=[line.pk]))
    assert undone["Location"] == f"{BOARD}?row={one.number}"
    step.refresh_from_db()
    assert step.finished_at is None and step.started_at is None
    assert "Mill Row: taken back." in seen(page(screen, undone["Location"]))


def test_undo_twice_does_nothing_the_second_time(screen, maker):
    step = make_commission(maker=maker, done=up_to(K.INSPECT)).steps.get(kind=K.INSPECT)
    screen.post(reverse("wall_start", args=[step.pk]))
    line = DaybookLine.objects.latest("pk")
    for _ in range(2):
        answer = screen.post(reverse("wall_undo", args=[line.pk]))
    assert "has been changed since" in seen(page(screen, answer["Location"]))
    assert list(DaybookLine.objects.filter(facts__step=step.pk).values_list("act", flat=True)) == [
        "start_step",
        "reopen_step",
    ]


def test_undo_of_a_start_leaves_what_was_finished_since(screen, maker):
    step = make_commission(maker=maker, done=up_to(K.INSPECT)).steps.get(kind=K.INSPECT)
    screen.post(reverse("wall_start", args=[step.pk]))
    line = DaybookLine.objects.latest("pk")
    screen.post(reverse("wall_done", args=[step.pk]))
    screen.post(reverse("wall_undo", args=[line.pk]))
    step.refresh_from_db()
    assert step.finished_at == NOW


def test_only_a_tick_is_undone(screen, maker):
    commission = make_commission(maker=maker)
    visit = make_visit(commission)
    line = DaybookLine.objects.create(at=NOW, act="move_visit", commission=commission, facts={"visit": visit.pk})
    answer = screen.post(reverse("wall_undo", args=[line.pk]))
    assert "has been changed since" in seen(page(screen, answer["Location"]))
    assert screen.post(reverse("wall_undo", args=[line.pk + 9])).status_code == 404


def test_pressed_twice_says_so(screen, maker):
    one = make_commission(maker=maker, nickname="Mill Row", done=up_to(K.INSPECT))
    step = one.steps.get(kind=K.INSPECT)
    for _ in range(2):
        answer = screen.post(reverse("wall_done", args=[step.pk]))
    assert "Mill Row: it was ticked already, nothing was changed." in seen(page(screen, answer["Location"]))
    assert DaybookLine.objects.filter(act="finish_step").count() == 1


def test_a_gate_is_told_without_money(screen, maker):
    one = make_commission(maker=maker, nickname="Mill Row", done=[K.SURVEY, K.DRAWING, K.APPROVAL])
    StagePayment.objects.create(commission=one, words="Deposit of forty", amount_pence=123_400, holds="ordering")
    step = one.steps.get(kind=K.MATERIALS)
    answer = screen.post(reverse("wall_start", args=[step.pk]))
    words = seen(page(screen, answer["Location"]))
    assert "Mill Row: something has to be cleared at the desk first." in words
    assert "Deposit" not in words and "forty" not in words and "1234" not in words
    assert Step.objects.get(pk=step.pk).started_at is None


def test_on_hold_is_said(screen, maker):
    one = make_commission(maker=maker, nickname="Mill Row", held_since=NOW.date(), hold_reason="hospital")
    answer = screen.post(reverse("wall_start", args=[one.steps.first().pk]))
    words = seen(page(screen, answer["Location"]))
    assert "Mill Row is on hold." in words and "hospital" not in words


@pytest.mark.parametrize("kind", [K.APPROVAL, K.DEPOSIT, K.HANDOVER, K.RETURN_VISIT])
@pytest.mark.parametrize("act", ["wall_start", "wall_done"])
def test_what_is_told_at_the_desk_is_not_ticked_here(screen, maker, act, kind):
    step = make_commission(maker=maker).steps.get(kind=kind)
    assert screen.post(reverse(act, args=[step.pk])).status_code == 404


def test_what_acts_takes_a_post(screen, maker):
    step = make_commission(maker=maker).steps.first()
    for name in ("wall_start", "wall_done", "wall_undo"):
        assert screen.get(reverse(name, args=[step.pk])).status_code == 405
    for address in (BOARD, WHERE, "/wall/sizes.css"):
        assert screen.post(address).status_code == 405


def test_changes_are_marked_for_half_an_hour(screen, signed_in, maker, shop, clock):
    one = make_commission(maker=maker, nickname="Mill Row", done=up_to(K.DELIVER))
    visit = make_visit(one)
    for slot in ("2027-03-16", "2027-03-17"):
        starts_at = dt.datetime.fromisoformat(f"{slot}T09:00+00:00")
        move_visit(
            visit=visit, starts_at=starts_at, ends_at=starts_at + dt.timedelta(hours=1), now=NOW, actor=maker,
            workshop=shop,
        )  # fmt: skip
    assert seen(page(screen, BOARD)).count("◆ 10:42 Visit moved") == 2
    clock.move_to(NOW + dt.timedelta(minutes=29))
    assert "◆ 10:42 Visit moved" in seen(page(screen, BOARD))
    clock.move_to(NOW + dt.timedelta(minutes=30))
    assert "◆" not in seen(page(screen, BOARD))


def test_last_five_changes_each_with_undo(screen, maker, clock):
    names = [f"Mill Row {number}" for number in range(6)]
    for number, name in enumerate(names):
        clock.move_to(NOW + dt.timedelta(minutes=number))
        step = make_commission(maker=maker, nickname=name, done=up_to(K.INSPECT)).steps.get(kind=K.INSPECT)
        screen.post(reverse("wall_start", args=[step.pk]))
    html = page(screen, f"{BOARD}?changes=1")
    panel = html.split("data-panel", 1)[1]
    assert [name for name in reversed(names) if name in panel] == list(reversed(names))[:5]
    lines = [int(found) for found in re.findall(r'action="/wall/changes/(\d+)/undo/"', panel)]
    assert len(lines) == 5 and lines == sorted(lines, reverse=True)
    screen.post(reverse("wall_undo", args=[lines[0]]))
    panel = page(screen, f"{BOARD}?changes=1").split("data-panel", 1)[1]
    assert names[-1] not in panel and names[0] in panel


def test_nothing_private_is_on_the_wall(screen, signed_in, maker, shop):
    """Planted values, each where it could leak, on both pages, in every state, for a screen and for a person."""
    sprayer_step = "Doors to Brack & Vane, code 4711"
    one = make_commission(maker=maker, nickname="Tannery", done=DOORS_AWAY, hold_reason="hospital date")
    make_access(one, parking="bay 4", notes="dog called Bess")
    one.steps.filter(kind=K.CARCASSES).update(name=sprayer_step)
    StagePayment.objects.create(commission=one, words="Deposit", amount_pence=987_600)
    make_visit(one, reasons="The Quennells are away until 14 April.")
    held = make_commission(
        maker=maker, client=one.client, nickname="Mill Row", held_since=NOW.date(), hold_reason="hospital date"
    )
    DaybookLine.objects.create(at=NOW, act="reveal_code", commission=one, actor=maker, facts={"code": "4711"})
    DaybookLine.objects.create(at=NOW, act="note_receipt", commission=one, actor=maker, facts={"pence": 987600})
    step = one.steps.get(kind=K.CARCASSES)
    screen.post(reverse("wall_start", args=[step.pk]))
    states = [BOARD, f"{BOARD}?changes=1", WHERE, f"{BOARD}?part=1", SCREEN]
    states += [f"{BOARD}?row={number}" for number in (one.number, held.number)]
    secrets = ("Quennell", "Marchbanks", "01632", "7 Tannery Lane", "hospital", "bay 4", "Bess", "4711", "9876",
               "£", "Brack", "April", "Code looked", "Money")  # fmt: skip
    for browser in (screen, signed_in):
        for address in states:
            html = page(browser, address).split("<main", 1)[-1].split("</main>")[0]
            assert [secret for secret in (*secrets, maker.name) if secret in html] == [], address


def test_no_inline_style_or_script(signed_in, maker):
    """The content security policy allows neither."""
    fill(maker, 6)
    for address in (BOARD, WHERE, SCREEN):
        html = page(signed_in, address)
        assert re.findall(r"\sstyle=|<style|\son\w+=", html) == []
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", html))


def test_signed_out_nobody_sees_it(client):
    for address in (BOARD, WHERE, SCREEN, "/wall/sizes.css"):
        assert client.get(address)["Location"] == f"/account/login/?next={address}"


def test_links_lead_here(signed_in, screen, maker):
    make_commission(maker=maker)
    board = page(signed_in, reverse("job_board"))
    assert f'href="{BOARD}"' in board and f'href="{WHERE}"' in board
    wall = page(screen, BOARD)
    assert f'href="{WHERE}"' in wall and f'href="{SCREEN}"' in wall and 'id="go-desk"' not in wall


SET_UP = {
    "rule_mm": "300", "line_px": "1083", "is_measured": "on", "viewing_distance_m": "2.5", "has_shortcuts": "on",
}  # fmt: skip


def test_a_paired_screen_keeps_its_measure_on_its_row(screen):
    assert screen.post(SCREEN, SET_UP)["Location"] == BOARD
    device = Device.objects.get()
    assert device.mm_per_px == pytest.approx(300 / 1083) and device.viewing_distance_m == 2.5
    assert (device.has_shortcuts, device.refreshes, device.stays_awake) == (True, False, False)
    assert page(screen, "/wall/sizes.css") == ":root{--mm:3.6100px;--capitals-mm:12.5}\n"
    wall = page(screen, BOARD)
    assert 'data-shortcuts="on" data-refreshes="off" data-awake="off"' in wall
    assert DaybookLine.objects.latest("pk").act == "set_up_screen"


def test_a_person_s_measure_stays_in_their_browser(signed_in):
    signed_in.post(SCREEN, SET_UP)
    assert signed_in.cookies["wall_sizes"]["httponly"]
    assert page(signed_in, "/wall/sizes.css") == ":root{--mm:3.6100px;--capitals-mm:12.5}\n"
    assert ScreenSizes().style_sheet() != page(signed_in, "/wall/sizes.css")


def test_without_a_measure_the_width_of_the_screen_is_taken(screen):
    screen.post(SCREEN, {key: value for key, value in SET_UP.items() if key != "is_measured"})
    assert Device.objects.get().mm_per_px is None
    assert "100vw / 952" in page(screen, "/wall/sizes.css")


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"line_px": ""}, "Length of the line: give the points"),
        ({"line_px": "long"}, "Length of the line: this is no number"),
        ({"line_px": "21"}, "Length of the line: no screen reads like that"),
        ({"viewing_distance_m": ""}, "Viewing distance: give metres"),
        ({"viewing_distance_m": "far"}, "Viewing distance: this is no number"),
        ({"viewing_distance_m": "40"}, "less than or equal to 8"),
        ({"rule_mm": ""}, "The line: say how long"),
    ],
)
def test_bad_measures_are_refused_and_kept_as_typed(screen, wrong, sentence):
    answer = screen.post(SCREEN, SET_UP | wrong)
    html = answer.content.decode()
    assert answer.status_code == 422 and sentence in html
    assert all(f'value="{value}"' in html for value in wrong.values() if value)
    assert Device.objects.get().mm_per_px is None


def test_the_line_moves_without_scripts(screen):
    """Each button asks for the page again, with the line moved and all else as it was set."""
    html = page(screen, f"{SCREEN}?rule_mm=150&line_px=300&by=-5&viewing_distance_m=2&has_shortcuts=on")
    assert '<svg class="line" width="295' in html and "reads <b><span data-rule>150</span> mm" in html
    assert 'name="by" value="-5" formmethod="get"' in html
    for odd in ("nan", "inf", "x", "-1e99"):
        assert screen.get(f"{SCREEN}?line_px={odd}&by={odd}").status_code == 200
