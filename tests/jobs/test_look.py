"""The promises of the style sheet: contrast, and the parts every form is made of."""

from __future__ import annotations

import re

import pytest
from django import forms
from django.conf import settings
from django.template.loader import render_to_string

CSS = settings.BASE_DIR / "static" / "css"
TOKENS = (CSS / "tokens.css").read_text()


def colours(block):
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6});", block))


LIGHT = colours(TOKENS.split("@media", 1)[0])
DARK = LIGHT | colours(re.search(r"dark\) \{(.*?)\n\}", TOKENS, re.S).group(1))
PAPER_PRINT = LIGHT | colours(TOKENS.split("@media print", 1)[1])
THEMES = [LIGHT, DARK, PAPER_PRINT]


def luminance(colour):
    """Relative luminance as WCAG 2.2 defines it (w3.org/TR/WCAG22, "relative luminance")."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4))
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """WCAG 2.2, "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_on_values_known_from_the_standard():
    """Black on white is 21:1 by definition; #767676 on white is the known edge of 4.5:1 (common practice)."""
    assert contrast("#000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("theme", THEMES, ids=["light", "dark", "print"])
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("text", ["ink", "soft-ink", "away", "here", "late"])
def test_text_reads_at_seven_to_one(theme, ground, text):
    """The wall's aim of 7:1 (WCAG 1.4.6), not only the floor of 4.5:1."""
    assert contrast(theme[text], theme[ground]) >= 7


@pytest.mark.parametrize("theme", THEMES, ids=["light", "dark", "print"])
@pytest.mark.parametrize("line", ["edge", "focus", "sun"])
def test_edges_and_focus_stand_out_three_to_one(theme, line):
    """WCAG 1.4.11."""
    assert contrast(theme[line], theme["paper"]) >= 3


def test_other_style_sheets_take_their_colours_from_the_tokens():
    """All but the handover pack's, which is printed and knows one ground only."""
    found = {
        sheet.name: re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", sheet.read_text())
        for sheet in CSS.glob("*.css")
        if sheet.name not in ("tokens.css", "pack.css")
    }
    assert found == {name: [] for name in found}


class SampleForm(forms.Form):
    name = forms.CharField(label="Name", help_text="As on the door.")
    day = forms.DateField(label="Day", required=False)
    agreed = forms.BooleanField(label="It was agreed", required=False)
    mode = forms.ChoiceField(label="Mode", choices=[("in", "In"), ("out", "Out")], widget=forms.RadioSelect)
    key = forms.IntegerField(widget=forms.HiddenInput)


@pytest.fixture
def refused():
    form = SampleForm({"name": "", "day": "32 March", "mode": "in", "key": "4"})
    form.add_error(None, "The two do not go together.")
    return form, render_to_string("includes/form_fields.html", {"form": form})


def test_every_mistake_is_listed_first_with_a_link_to_its_field(refused):
    _, page = refused
    summary = page[: page.index("<label")]
    assert re.findall(r'href="#([\w-]+)"', summary) == ["id_name", "id_day"]
    assert all(f'id="{name}"' in page for name in ("id_name", "id_day"))
    assert "The two do not go together." in summary
    assert "data-focus-first" in summary and 'tabindex="-1"' in summary


def test_the_same_words_stand_beside_the_field_and_what_was_typed_is_kept(refused):
    form, page = refused
    words = form.errors["day"][0]
    assert page.count(words) == 2
    assert 'value="32 March"' in page
    assert 'aria-describedby="id_name_helptext id_name_error"' in page
    assert 'id="id_name_helptext"' in page and 'id="id_name_error"' in page
    assert 'type="hidden" name="key" value="4"' in page


def test_every_field_has_a_name_for_ears(refused):
    _, page = refused
    assert re.findall(r'<label for="([\w-]+)">', page) == ["id_name", "id_day", "id_agreed", "id_mode_0", "id_mode_1"]
    assert "<legend>Mode</legend>" in page


def test_only_what_may_be_left_blank_says_so(refused):
    _, page = refused
    assert re.findall(r">(\w+) <span class=\"optional\">", page) == ["Day"]


def test_an_untouched_form_lists_nothing():
    page = render_to_string("includes/form_fields.html", {"form": SampleForm()})
    assert "error-summary" not in page


def test_blank_facts_are_not_recorded_and_nought_is_a_fact():
    page = render_to_string("includes/facts.html", {"facts": [("Sheen", ""), ("Floor", 0), ("Colour", "Stone")]})
    cells = [re.sub(r"<[^>]+>", "", cell).strip() for cell in re.findall(r"<dd>(.*?)</dd>", page, re.S)]
    assert cells == ["not recorded", "0", "Stone"]


def test_table_has_a_caption_and_row_heads():
    rows = [["Mill Row", {"words": "1 day short", "late": True}], [{"words": "Weir", "url": "/w/"}, "2"]]
    page = render_to_string("includes/table.html", {"caption": "Due", "headings": ["Where", "What"], "rows": rows})
    assert "<caption>Due</caption>" in page
    assert page.count('scope="col"') == page.count('scope="row"') == 2
    assert '<span class="late">▲ 1 day short</span>' in page
    assert '<a href="/w/">Weir</a>' in page
