"""A consignment from the note to the re-do, through the screens."""

from __future__ import annotations

import datetime as dt
import io

import numpy as np
import pikepdf
import pypdf
import pytest
from django.urls import reverse

from jobs.models import Consignment, ConsignmentItem, StepKind, Subcontractor
from tests.factories import NOW, up_to
from tests.jobs.views.sheets_cast import a_commission, signed_in

pytestmark = pytest.mark.django_db
PROMISED = dt.date(2027, 3, 24)


@pytest.fixture
def commission(time_machine):
    time_machine.move_to(NOW, tick=False)
    return a_commission(done=up_to(StepKind.SPRAYER_OUT))


@pytest.fixture
def browser(commission):
    return signed_in(commission)


@pytest.fixture
def note(commission):
    shop = Subcontractor.objects.create(name="Harrow Spray Shop")
    return Consignment.objects.create(
        commission=commission, subcontractor=shop, number=1, colour="Chalk 4", sheen_percent=20
    )


def with_doors(note, count=9):
    return ConsignmentItem.objects.create(
        consignment=note, words="Wardrobe door", count=count, height_mm=2100, width_mm=500, masked_cups=5
    )


def test_the_head_of_a_note_is_filled_from_the_painted_finish(browser, commission):
    Subcontractor.objects.create(name="Harrow Spray Shop")
    commission.finishes.create(surface="Doors", kind="painted", colour="Chalk 4", sheen_percent=20, sample="S-9")
    page = browser.get(reverse("new_consignment", args=[commission.number])).content.decode()
    assert 'value="Chalk 4"' in page
    assert 'value="S-9"' in page


def test_a_line_in_metres_is_asked_about_not_guessed(browser, note):
    form = {"words": "Door", "count": "2", "height_mm": "2", "faces": "2", "masked_cups": "0"}
    answer = browser.post(reverse("add_consignment_item", args=[note.pk]), form)
    assert answer.status_code == 422
    assert "write millimetres, so 2400 for 2.4 metres" in answer.content.decode()
    answer = browser.post(reverse("add_consignment_item", args=[note.pk]), form | {"height_mm": "2.1"})
    assert answer.status_code == 422
    assert not note.items.exists()


def test_sending_moves_the_steps_and_the_plan_to_the_promised_day(browser, commission, note):
    with_doors(note)
    form = {"sent_at": "2027-03-10T10:00", "promised_on": "2027-03-24"}
    assert browser.post(reverse("send_consignment", args=[note.pk]), form).status_code == 302
    out, back = commission.steps.get(kind="sprayer_out"), commission.steps.get(kind="sprayer_back")
    assert out.finished_at == dt.datetime(2027, 3, 10, 10, tzinfo=dt.UTC)
    assert (back.started_at, back.subcontractor, back.finished_at) == (out.finished_at, note.subcontractor, None)
    # By hand: Thursday 11 to Tuesday 23 March are nine days, Monday to Friday.
    assert back.lead_days == 9
    page = browser.get(reverse("consignment", args=[note.pk])).content.decode()
    assert "Ask how it stands on Monday 22 March" in page


@pytest.mark.parametrize(
    ("sent", "promised", "words"),
    [
        ("2027-03-10T10:00", "2027-03-10", "a day after the one on which it goes"),
        ("2027-03-11T10:00", "2027-03-24", "lies in the future"),
        ("", "", "give a day"),
    ],
)
def test_sending_at_no_possible_time_is_refused(browser, note, sent, promised, words):
    with_doors(note)
    form = {"sent_at": sent, "promised_on": promised}
    answer = browser.post(reverse("send_consignment", args=[note.pk]), form)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    note.refresh_from_db()
    assert note.sent_at is None


def test_a_note_without_lines_does_not_go(browser, note):
    form = {"sent_at": "2027-03-10T10:00", "promised_on": "2027-03-24"}
    answer = browser.post(reverse("send_consignment", args=[note.pk]), form)
    assert "has no lines yet" in answer.content.decode()


def test_nine_out_eight_back_one_of_them_damaged(browser, commission, note, time_machine):
    item = with_doors(note)
    browser.post(
        reverse("send_consignment", args=[note.pk]), {"sent_at": "2027-03-10T10:00", "promised_on": "2027-03-24"}
    )
    time_machine.move_to(NOW + dt.timedelta(days=13), tick=False)  # Tuesday 23 March
    browser = signed_in(commission)
    too_many = {"at": "2027-03-23T09:00", f"good_{item.pk}": "9", f"damaged_{item.pk}": "1"}
    answer = browser.post(reverse("receive_consignment", args=[note.pk]), too_many)
    assert answer.status_code == 422
    assert "9 are still out, 10 were counted in" in answer.content.decode()
    counted = {"at": "2027-03-23T09:00", f"good_{item.pk}": "7", f"damaged_{item.pk}": "1"}
    assert browser.post(reverse("receive_consignment", args=[note.pk]), counted).status_code == 302
    page = browser.get(reverse("consignment", args=[note.pk])).content.decode()
    assert "7 good, <span" in page
    assert "▲ 1 faulty" in page
    assert "▲ 1 missing" in page
    assert browser.post(reverse("start_redo", args=[note.pk]), {"promised_on": "2027-04-01"}).status_code == 302
    redo = Consignment.objects.get(redo_of=note)
    assert [(one.words, one.count) for one in redo.items.all()] == [("Wardrobe door", 2)]
    step = redo.step
    assert (step.kind, step.name) == ("redo", f"Make good: 1 short, 1 damaged ({note})")
    # By hand: Wednesday 24, Thursday 25, Tuesday 30, Wednesday 31 March; the 26th and 29th are bank holidays.
    assert step.lead_days == 4
    assert [link.before.kind for link in step.links_in.all()] == ["sprayer_back"]
    assert [link.after.kind for link in step.links_out.all()] == ["inspect"]
    assert commission.steps.get(kind="sprayer_back").finished_at is not None
    assert step.started_at is not None and step.finished_at is None
    time_machine.move_to(NOW + dt.timedelta(days=22), tick=False)
    browser = signed_in(commission)
    counted = {"at": "2027-04-01T09:00", f"good_{redo.items.get().pk}": "2"}
    browser.post(reverse("receive_consignment", args=[redo.pk]), counted)
    step.refresh_from_db()
    redo.refresh_from_db()
    assert step.finished_at == redo.back_at == dt.datetime(2027, 4, 1, 8, tzinfo=dt.UTC)  # summer time by then
    lead = browser.get(f"/subcontractors/{note.subcontractor_id}/").content.decode()
    # Sent on the 10th, closed on the 23rd: eight whole days between, and the re-do is not counted.
    assert "once back: median 8, worst 8 of their working days, not enough history" in lead


def test_once_gone_the_note_stands(browser, note):
    item = with_doors(note)
    Consignment.objects.filter(pk=note.pk).update(sent_at=NOW, promised_on=PROMISED)
    answer = browser.post(reverse("edit_consignment", args=[note.pk]), {"subcontractor": note.subcontractor_id})
    assert answer.status_code == 422
    assert "its note stands as it went" in answer.content.decode()
    browser.post(reverse("remove_consignment_item", args=[item.pk]))
    assert note.items.count() == 1


def test_the_sprayers_days_are_planned_with_one_tap(browser, commission, note):
    step = commission.steps.get(kind="sprayer_back")
    step.subcontractor = note.subcontractor
    step.save()
    for number, days in ((2, 8), (3, 9), (4, 22)):
        sent = NOW - dt.timedelta(days=60)
        Consignment.objects.create(
            commission=commission, subcontractor=note.subcontractor, number=number, sent_at=sent,
            back_at=sent + dt.timedelta(days=days),
        )  # fmt: skip
    page = browser.get(reverse("consignments", args=[commission.number])).content.decode()
    # Counted by numpy's business days; no bank holiday lies in those weeks of January 2027.
    first = (NOW - dt.timedelta(days=60)).date()
    taken = [
        int(np.busday_count(first + dt.timedelta(days=1), first + dt.timedelta(days=days))) for days in (8, 9, 22)
    ]
    assert f"3 times back: median {sorted(taken)[1]}, worst {max(taken)}" in page
    answer = browser.post(reverse("use_turnaround", args=[step.pk]), {"lead_days": str(max(taken))})
    assert answer.status_code == 302
    step.refresh_from_db()
    assert step.lead_days == max(taken)
    browser.post(reverse("use_turnaround", args=[step.pk]), {"lead_days": "soon"})
    step.refresh_from_db()
    assert step.lead_days == max(taken)


def test_the_note_on_paper_counts_and_names_no_client(browser, commission, note):
    with_doors(note)
    ConsignmentItem.objects.create(consignment=note, words="Plinth <b>& co</b>", count=3, faces=1)
    answer = browser.get(reverse("consignment_note", args=[note.pk]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    with pikepdf.open(io.BytesIO(answer.content)) as pdf:
        assert len(pdf.pages) == 1
    words = " ".join(pypdf.PdfReader(io.BytesIO(answer.content)).pages[0].extract_text().split())
    assert "12 pieces, 21 faces, 45 hinge cups to mask" in words
    assert "Plinth<b>&co</b>" in words.replace(" ", "")
    assert "Chalk 4" in words and "20 %" in words
    for private in (commission.client.name, "Tannery Lane", "quennell@example.org"):
        assert private not in words


@pytest.mark.parametrize(
    "name", ["send_consignment", "receive_consignment", "start_redo", "consignment", "edit_consignment"]
)
def test_each_page_of_a_consignment_is_shown(browser, note, name):
    with_doors(note)
    assert browser.get(reverse(name, args=[note.pk])).status_code == 200
