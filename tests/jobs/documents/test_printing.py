from __future__ import annotations

import io

import pikepdf
import pytest
from django.template.loader import render_to_string

from jobs.documents.printing import DocumentNotMade, child_environment, print_document
from tests.factories import NOW


def paper(body: str) -> str:
    return f"<!DOCTYPE html><html lang='en-GB'><head><title>Paper</title></head><body>{body}</body></html>"


def test_a_paper_is_made_with_our_own_fonts_and_the_date_we_give():
    html = render_to_string("pdf/paper.html", {"workshop": {"name": "Fieldgate Joinery"}, "drawn_at": NOW})
    html = html.replace("<main>", "<main><h1>Consignment</h1><p>Nine doors</p>")
    made = print_document(html, epoch_s=int(NOW.timestamp()))
    assert made.data == print_document(html, epoch_s=int(NOW.timestamp())).data
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        assert len(pdf.pages) == made.page_count == 1
        fonts = {str(font.BaseFont) for font in pdf.pages[0].Resources.Font.values()}
    assert fonts and all("Paper-S" in font or "Source" in font for font in fonts)


@pytest.mark.parametrize("address", ["http://127.0.0.1:9/x.png", "file:///etc/hostname", "data:image/png;base64,AA"])
def test_a_paper_may_load_nothing_from_anywhere(address):
    with pytest.raises(DocumentNotMade, match="may load only names"):
        print_document(paper(f"<img src='{address}' alt=''>"), epoch_s=0)


def test_a_paper_that_never_ends_is_stopped():
    with pytest.raises(DocumentNotMade, match=r"stopped|signal"):
        print_document(paper("<p>word</p>" * 20_000), epoch_s=0, time_limit_s=1)


def test_the_child_is_given_no_secrets(monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "s")
    monkeypatch.setenv("DATABASE_URL", "d")
    assert not {"SECRET_KEY", "FIELD_KEYS", "DATABASE_URL"} & set(child_environment(0))
