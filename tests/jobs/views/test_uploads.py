"""What is too large is cut short while it arrives, and refused with a sentence."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs import uploads
from jobs.domain import photographs as domain
from jobs.models import Photograph
from tests.jobs.views.sheets_cast import a_commission, signed_in

pytestmark = pytest.mark.django_db
SMALL = 100_000


@pytest.fixture
def commission():
    return a_commission()


def test_a_large_file_is_dropped_while_it_arrives_and_named(commission, monkeypatch):
    monkeypatch.setattr(uploads, "LARGEST_BYTES", SMALL)
    monkeypatch.setattr(domain, "LARGEST_BYTES", SMALL)
    monkeypatch.setattr("jobs.pictures.intake.LARGEST_BYTES", SMALL)
    seen = []
    take_in = domain.take_in
    monkeypatch.setattr(domain, "take_in", lambda data, **rest: (seen.append(len(data)), take_in(data, **rest))[1])
    big = SimpleUploadedFile("stairs.jpg", b"\xff\xd8" + bytes(9 * SMALL), content_type="image/jpeg")
    url = reverse("add_photographs", args=[commission.number])
    answer = signed_in(commission).post(url, {"pictures": [big], "purpose": "work"})
    assert answer.status_code == 422
    assert "“stairs.jpg” has more than 15 MB" in answer.content.decode()
    assert seen == [SMALL + 1]
    assert not Photograph.objects.exists()


def test_of_a_file_no_more_than_the_limit_and_one_byte_is_passed_on(monkeypatch):
    monkeypatch.setattr(uploads, "LARGEST_BYTES", 10)
    handler = uploads.CutShort()
    chunks = [b"abcdef", b"ghijkl", b"mn"]
    passed = [handler.receive_data_chunk(chunk, start) for chunk, start in zip(chunks, (0, 6, 12), strict=True)]
    assert passed == [b"abcdef", b"ghijk", None]


def test_a_request_larger_than_any_form_is_answered_before_it_is_read(commission):
    browser = signed_in(commission)
    url = reverse("add_photographs", args=[commission.number])
    size = uploads.LARGEST_REQUEST_BYTES + 1
    answer = browser.post(url, b"", content_type="multipart/form-data; boundary=x", CONTENT_LENGTH=str(size))
    assert answer.status_code == 413
    assert "154 MB is the most at once" in answer.content.decode()
    assert "at most 10 files of up to 15 MB each" in answer.content.decode()
