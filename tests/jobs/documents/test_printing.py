from __future__ import annotations

import io

import pikepdf
from django.template.loader import render_to_string

from jobs.documents.printing import print_document
from tests.factories import NOW


def test_a_paper_is_made_with_our_own_fonts_and_the_date_we_give():
    html = render_to_string("pdf/paper.html", {"workshop": {"name": "Fieldgate Joinery"}, "drawn_at": NOW})
    html = html.replace("<main>", "<main><h1>Consignment</h1><p>Nine doors</p>")
    made = print_document(html, epoch_s=int(NOW.timestamp()))
    assert made.data == print_document(html, epoch_s=int(NOW.timestamp())).data
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        assert len(pdf.pages) == made.page_count == 1
        fonts = {str(font.BaseFont) for font in pdf.pages[0].Resources.Font.values()}
    assert fonts and all("Paper-S" in font or "Source" in font for font in fonts)
