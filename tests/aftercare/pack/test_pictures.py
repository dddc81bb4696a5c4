"""Photographs of a pack: which, when, and that they are in the document."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pypdf
import pytest
import time_machine
from django.core.files.base import ContentFile
from django.urls import reverse

from aftercare.domain.packs import pack_for_sending
from aftercare.domain.permissions import give_permission, withdraw_permission
from aftercare.models import Permission
from aftercare.pack.gather import gather
from aftercare.pack.gather_pictures import Pictures
from aftercare.pack.stored import stored_bytes
from jobs.models import DrawingVersion, Photograph
from tests.aftercare.check_cast import checked_commission, handed_over, return_visit_of
from tests.factories import NOW
from tests.jobs.documents.test_fetcher import jpeg
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def handover(media: Path) -> Any:
    commission = checked_commission()
    for purpose, words in (
        ("hidden", "Heating pipe behind bay 1"),
        ("finished", "The wall, doors shut"),
        ("work", ""),
    ):
        row = Photograph(commission=commission, purpose=purpose, words=words, sha256="0", width_px=8, height_px=6)
        row.added_at = NOW
        for file in (row.file, row.small):
            file.save(f"{purpose}.jpg", ContentFile(jpeg((800, 600))), save=False)
        row.save()
    return handed_over(commission, return_visit_of(commission))


def allow(handover: Any, use: str = "record") -> Permission:
    return give_permission(
        commission=handover.commission, use=use, given_by="Priscilla Quennell", way="told", now=NOW, actor=None
    )


def captions(handover: Any) -> tuple[list[str], list[str]]:
    facts = gather(handover, NOW, revision=1, pictures=Pictures.BYTES)
    return [one.caption for one in facts.photographs], [one.caption for one in facts.hidden_photographs]


def test_what_is_hidden_is_shown_always_and_the_finished_work_once_allowed(handover: Any) -> None:
    assert captions(handover) == ([], ["Heating pipe behind bay 1"])
    permission = allow(handover)
    assert captions(handover) == (["The wall, doors shut"], ["Heating pipe behind bay 1"])
    withdraw_permission(permission=permission, way="told", now=NOW, actor=None)
    assert captions(handover) == ([], ["Heating pipe behind bay 1"])
    assert gather(handover, NOW, revision=1).permissions == (("Our own record only", "taken back on 10 March 2027"),)


def test_the_pictures_and_the_permission_are_in_the_document(handover: Any) -> None:
    allow(handover, "web")
    drawing = DrawingVersion(title="Library wall", version=3, sha256="0", media_type="image/png", added_at=NOW)
    drawing.commission, drawing.approved_at, drawing.file = handover.commission, NOW, "drawings/x.png"
    drawing.save()
    data = stored_bytes(pack_for_sending(handover, NOW))
    reader = pypdf.PdfReader(io.BytesIO(data))
    # Pages share one list of resources, so each picture is counted once by its name.
    assert len({image.name for page in reader.pages for image in page.images}) == 2
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))
    assert "Heating pipe behind bay 1" in text
    assert "Our own website allowed on 10 March 2027" in text
    assert "Library wall, version 3, approved on 10 March 2027" in text


def test_a_picture_whose_file_is_gone_does_not_stop_the_pack(handover: Any) -> None:
    Photograph.objects.get(purpose="hidden").file.delete(save=False)
    assert captions(handover) == ([], [])


def test_the_page_shows_them_by_their_own_address(handover: Any) -> None:
    with time_machine.travel(NOW, tick=False):
        page = signed_in(handover.commission.maker).get(reverse("pack_page", args=[handover.pk])).content.decode()
    hidden = Photograph.objects.get(purpose="hidden")
    assert f'src="{hidden.get_absolute_url()}"' in page


def test_permission_is_asked_on_the_spot_and_leads_to_the_photographs(handover: Any) -> None:
    commission = handover.commission
    url = reverse("ask_permission", args=[commission.number])
    with time_machine.travel(NOW, tick=False):
        browser = signed_in(commission.maker)
        page = browser.get(url).content.decode()
        assert "You may show photographs of my furniture on your own website" in page and "checked" not in page
        answer = browser.post(url, {"uses": ["record", "web"], "given_by": "Mrs Quennell", "way": "told"})
        assert answer.url == reverse("add_photographs", args=[commission.number]) + "?purpose=finished"
        answer = browser.post(url, {"given_by": "Mrs Quennell", "way": "told"})
        assert answer.status_code == 422 and "no means no" in answer.content.decode()
        answer = browser.post(url, {"uses": ["web"], "given_by": "Mrs Quennell", "way": "told"})
        assert answer.status_code == 422  # allowed already, and so not offered
    assert sorted(Permission.objects.values_list("use", "given_by", "way")) == [
        ("record", "Mrs Quennell", "told"),
        ("web", "Mrs Quennell", "told"),
    ]


def test_a_picture_shown_on_the_clients_page_is_in_the_pack_without_further_permission(handover: Any) -> None:
    Photograph.objects.exclude(purpose="hidden").update(is_shown_to_client=True)
    assert captions(handover) == (["The wall, doors shut"], ["Heating pipe behind bay 1"])  # work in hand never is
