"""The papers as PDF: read back by pypdf, an independent reader."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest
from django.urls import reverse

from jobs.labels import leads_to_this_machine_only, piece_url, qr_svg
from jobs.models import AccessMode, CarryPlan
from tests.factories import NOW, make_access, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.site_cast import make_pieces, make_room, make_route, make_van

pytestmark = pytest.mark.django_db
MM_PER_POINT = 25.4 / 72


@pytest.fixture
def laden(time_machine, client):
    time_machine.move_to(NOW, tick=False)
    make_workshop()
    maker = make_maker()
    client.force_login(maker)
    commission = make_commission(maker=maker)
    make_room(commission)
    make_pieces(commission, maker)
    make_route(commission)
    make_access(commission, mode=AccessMode.IN_AND_OUT, notes="Alarm 4-8-2-1, dog called Bramble")
    make_visit(commission, starts_at=NOW + dt.timedelta(days=1))
    CarryPlan.objects.create(commission=commission, drive_minutes=35, van=make_van())
    return commission


def read(answer):
    assert answer["Content-Type"] == "application/pdf"
    return pypdf.PdfReader(io.BytesIO(answer.content))


def sizes_mm(page):
    return round(float(page.mediabox.width) * MM_PER_POINT), round(float(page.mediabox.height) * MM_PER_POINT)


def test_forty_labels_take_three_sheets_and_a_single_one_its_own_page(client, laden):
    sheets = read(client.get(reverse("labels_pdf", args=[laden.number])))
    assert [sizes_mm(page) for page in sheets.pages] == [(210, 297)] * 3
    text = "".join(page.extract_text() for page in sheets.pages)
    assert all(f"{laden.number} P{number:02d}" in text for number in range(1, 41))
    piece = laden.pieces.last()
    single = read(client.get(reverse("label_pdf", args=[piece.pk])))
    assert [sizes_mm(page) for page in single.pages] == [(99, 38)]
    assert "Long worktop" in single.pages[0].extract_text()


def test_the_sheet_on_paper_names_the_stopped_piece_and_holds_no_code(client, laden):
    sheet = read(client.get(reverse("site_day_pdf", args=[laden.number])))
    text = " ".join(" ".join(page.extract_text() for page in sheet.pages).split())
    assert "P40 Long worktop will not go. Quarter landing" in text
    assert "Wilfred Marchbanks" in text
    assert "Look at the code before you leave signal" in text
    assert "4-8-2-1" not in text and "Bramble" not in text


def test_a_code_leads_to_the_page_of_its_piece(laden, settings):
    settings.PUBLIC_URL = "https://workshop.example.org"
    piece = laden.pieces.first()
    assert piece_url(piece.pk) == f"https://workshop.example.org/pieces/{piece.pk}/"
    assert not leads_to_this_machine_only()
    assert qr_svg(piece_url(piece.pk)).startswith("<svg") and "http" not in qr_svg("x")


def test_a_code_that_leads_to_this_machine_is_said_before_printing(client, laden, settings):
    settings.PUBLIC_URL = "http://localhost:8000"
    page = client.get(reverse("pieces", args=[laden.number])).content.decode()
    assert "lead to this machine only" in page
