"""What comes in by upload is cut short while it arrives: neither memory nor disk ever holds a file of any size."""

from __future__ import annotations

from collections.abc import Callable

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.pictures.intake import LARGEST_BYTES, MOST_AT_ONCE

# Everything in one request: the most photographs there can be, and room for the other fields.
LARGEST_REQUEST_BYTES = MOST_AT_ONCE * LARGEST_BYTES + 4_000_000


class CutShort(FileUploadHandler):
    """Passes on one byte more of a file than is allowed, so that the form can refuse it with a sentence, and drops
    the rest."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        room = LARGEST_BYTES + 1 - start
        return raw_data[:room] if room > 0 else None

    def file_complete(self, file_size: int) -> UploadedFile | None:
        return None  # the handlers after this one keep the file


class UploadLimitMiddleware:
    """Answers 413 before anything is read of a request that says it is larger than any of our forms can be."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        said = request.META.get("CONTENT_LENGTH") or "0"
        if said.isdecimal() and int(said) > LARGEST_REQUEST_BYTES:
            most = LARGEST_REQUEST_BYTES // 1_000_000
            context = {"megabytes": int(said) // 1_000_000, "most": most, "at_once": MOST_AT_ONCE}
            return render(request, "jobs/too_large.html", context, status=413)
        return self.get_response(request)
