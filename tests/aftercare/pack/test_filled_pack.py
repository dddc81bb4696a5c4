"""A pack with everything on record, printed, and its text read back with pypdf and with poppler's pdftotext."""

from __future__ import annotations

import datetime as dt
import io
import re
import subprocess
from decimal import Decimal
from pathlib import Path
from typing import Any

import pikepdf
import pypdf
import pytest

from aftercare.domain.hinge_check import RoomFound, check_door, finish_check, record_room
from aftercare.domain.packs import pack_for_sending
from aftercare.models import DoorCheck, FittedFacts, IssuedPack, Verdict
from aftercare.pack.contents import pack_contents
from aftercare.pack.gather import gather
from aftercare.pack.render import pack_html
from aftercare.pack.shelves import safe_load
from aftercare.pack.stored import stored_bytes
from jobs.domain.snags import finish_snag
from jobs.models import Message, MessageState, Workshop
from jobs.sweep import sweep
from tests.aftercare.check_cast import AFTER, ON_THE_DAY, checked_commission, handed_over, return_visit_of
from tests.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.OUTBOX_DIR = tmp_path / "outbox"
    settings.EMAIL_BACKEND = "jobs.outbox.OutboxBackend"
    settings.PUBLIC_URL = "https://shutline.example.org"
    return tmp_path


COLUMNS = [field.name for field in FittedFacts._meta.fields if field.name not in ("id", "commission", "signed_on")]


def fill(commission: Any) -> FittedFacts:
    """Every fact with words of its own, so that each can be looked for."""
    words = {name: f"Said of {name}" for name in COLUMNS}
    return FittedFacts.objects.create(commission=commission, signed_on=dt.date(2027, 3, 10), **words)


def words_of(data: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def poppler_words(data: bytes) -> str:
    made = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True)
    return re.sub(r"\s+", " ", made.stdout.decode())


def the_check(visit: Any, verdict: str = Verdict.ADJUSTED, words: str = "") -> Any:
    workshop = Workshop.objects.get()
    facts = {"workshop": workshop, "now": ON_THE_DAY, "actor": visit.person}
    record_room(visit=visit, found=RoomFound(Decimal("19.5"), 38, "good", "bad"), **facts)
    door = visit.commission.doors.get(label="D1")
    row = DoorCheck(door=door, before_top_tenths_mm=15, after_top_tenths_mm=25, before_left_tenths_mm=31)
    row.bow_tenths_mm, row.verdict, row.words = 5, verdict, words
    check = check_door(visit=visit, row=row, **facts).check_of
    return finish_check(check=check, second_visit=False, workshop=workshop, now=AFTER, actor=visit.person)


def test_every_fact_on_record_is_printed_once_asked_for(folders: Path) -> None:
    commission = checked_commission()
    handover = handed_over(commission, return_visit_of(commission))
    fill(commission)
    pack = pack_for_sending(handover, NOW)
    data = stored_bytes(pack)
    text, second = words_of(data), poppler_words(data)
    columns = [
        field.name for field in FittedFacts._meta.fields if field.name not in ("id", "commission", "signed_on")
    ]
    missing = [name for name in columns if f"Said of {name}" not in text]
    assert missing == []
    assert "Said of signed_by, 10 March 2027" in text
    # Hinges: 2 + 5 + 2 on three doors.
    assert "9 on 3 doors" in text
    assert "450 × 2000" in second and "14.7 kg" in second and "4 usual" in second
    # A shelf of MDF 25 mm, 300 deep, span 800: E 2100, limit 4 mm, creep 225 %, own weight 4.44 kg. By hand with
    # d = 5WgL^3/(32Ebt^3): 0.07973 mm/kg, so 4 / (0.07973 × 3.25) - 4.44 = 10.99 -> 10 kg.
    assert "MDF, 25 mm thick, 300 deep, 800 span" in text
    assert safe_load("mdf", span_mm=800, depth_mm=300, thickness_mm=25).load_kg == 10
    assert "10 kg" in text and "calculated, rounded down" in text
    assert "sag grows by 225 % in time: kdef 2.25 of EN 1995-1-1" in text
    assert "the larger figure is used" in text and "have us confirm it before you load a shelf to the full" in text
    assert "common practice in the trade, without a published standard" in text
    assert "https://shutline.example.org/your-furniture/" in text
    assert pack.page_count <= 20


def test_the_elevation_and_the_square_code_have_alternative_texts() -> None:
    commission = checked_commission()
    handover = handed_over(commission, return_visit_of(commission))
    data = stored_bytes(pack_for_sending(handover, NOW))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        alts = [str(one.Alt) for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one]
    assert any(alt.startswith("Elevation of Study, from left to right: D1, 450 by 2000 mm") for alt in alts)
    assert any(alt.endswith("It holds the address https://shutline.example.org/your-furniture/") for alt in alts)


def test_an_installation_of_one_machine_prints_no_square_code(settings: Any) -> None:
    settings.PUBLIC_URL = "http://localhost:8000"
    commission = checked_commission()
    handover = handed_over(commission, return_visit_of(commission))
    assert "/your-furniture/" not in pack_html(pack_contents(handover, NOW))


def test_blank_guarantee_takes_the_workshops_own_words() -> None:
    commission = checked_commission()
    handover = handed_over(commission, return_visit_of(commission))
    Workshop.objects.update(guarantee_period="Ten years", insurer="Fieldgate Mutual")
    FittedFacts.objects.create(commission=commission, insurer="Another insurer")
    html = pack_html(pack_contents(handover, NOW))
    assert "Ten years" in html and "Another insurer" in html and "Fieldgate Mutual" not in html


def test_revision_two_goes_two_hours_after_the_check_with_the_new_settings(folders: Path) -> None:
    commission = checked_commission()
    visit = return_visit_of(commission)
    handover = handed_over(commission, visit)
    first = pack_for_sending(handover, NOW)
    the_check(visit)
    workshop = Workshop.objects.get()
    sweep(AFTER + dt.timedelta(hours=1))
    assert IssuedPack.objects.count() == 1
    sweep(AFTER + dt.timedelta(hours=2, minutes=1))
    sweep(AFTER + dt.timedelta(hours=2, minutes=3))
    second = IssuedPack.objects.get(revision=2)
    assert (second.reason, second.hinge_check.visit_id) == ("after the hinge check", visit.pk)
    message = Message.objects.get(kind="pack_revision")
    assert message.state == MessageState.SENT
    assert message.subject == "Handover pack, revision 2: library wall"
    assert workshop.name in message.body
    text = words_of(stored_bytes(second))
    assert "Your doors, as left on 27 April 2027" in text
    assert "Adjusted, in order now: top 2.5, left 3.1 mm" in text
    assert "What we found on 27 April 2027" in text and "38 %" in text and "19.5 °C" in text and "D1: 0.5 mm" in text
    assert "after the hinge check" in text
    assert "none arranged: the return visit was on Tuesday 27 April 2027" in text
    # What was handed over stays byte for byte.
    assert first.sha256 != second.sha256 and stored_bytes(first).startswith(b"%PDF")


def test_without_an_address_the_new_pack_comes_to_the_workshop_to_be_posted() -> None:
    commission = checked_commission(email="")
    visit = return_visit_of(commission)
    handed_over(commission, visit)
    the_check(visit)
    message = Message.objects.get(kind="pack_revision")
    assert (message.to_email, message.channel) == ("shop@example.org", "mail")
    sweep(AFTER + dt.timedelta(hours=3))
    message.refresh_from_db()
    assert "Priscilla Quennell has no e-mail: please print it and post it." in message.body


def test_an_undone_handover_gets_no_new_pack() -> None:
    commission = checked_commission()
    visit = return_visit_of(commission)
    handover = handed_over(commission, visit)
    the_check(visit)
    handover.undone_at = AFTER
    handover.save(update_fields=["undone_at"])
    sweep(AFTER + dt.timedelta(hours=3))
    assert Message.objects.get(kind="pack_revision").state == MessageState.WITHDRAWN


def test_what_is_left_to_put_right_is_printed_with_its_state() -> None:
    commission = checked_commission()
    visit = return_visit_of(commission)
    handover = handed_over(commission, visit)
    assert gather(handover, NOW, revision=1).snags is None
    check = the_check(visit, Verdict.SNAG, "bowed, to be made anew")
    assert gather(handover, AFTER, revision=2).snags == ("Door D1: bowed, to be made anew: to be put right",)
    finish_snag(snag=check.doors.get().snag, now=AFTER + dt.timedelta(days=9), actor=None)
    assert gather(handover, AFTER, revision=2).snags == ("Door D1: bowed, to be made anew: put right on 6 May 2027",)


@pytest.mark.parametrize("doors", [3, 8])
def test_number_of_queries_does_not_grow_with_doors_and_checks(django_assert_num_queries: Any, doors: int) -> None:
    commission = checked_commission()
    visit = return_visit_of(commission)
    handover = handed_over(commission, visit)
    the_check(visit)
    for number in range(3, doors):
        commission.doors.create(label=f"E{number}", width_mm=400, height_mm=700)
    # 15 as without doors, less the pieces; two for what the check found of the doors
    with django_assert_num_queries(16):
        gather(handover, AFTER, revision=2, reason="again")
