"""The client page in plain words: a reading age of 9 to 11 (the reference on screens, C3).

Flesch-Kincaid grade = 0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid and others, 1975; formula from
memory), and reading age = grade + 5. Syllables are counted by groups of vowels, a silent e taken off: an estimate.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PAGES = sorted((Path(__file__).parents[2] / "templates" / "client").rglob("*.html"))


def sentences(template: str) -> list[str]:
    """What stands in a template's paragraphs and headings, fields and tags left out."""
    text = re.sub(r"\{#.*?#\}|\{%.*?%\}", " ", template, flags=re.S)
    text = re.sub(r"\{\{.*?\}\}", "it", text, flags=re.S)
    blocks = re.findall(r"<(?:p|h1|h2|li)[^>]*>(.*?)</(?:p|h1|h2|li)>", text, flags=re.S)
    plain = [re.sub(r"<[^>]+>", " ", block) for block in blocks]
    found = [part.strip() for block in plain for part in re.split(r"(?<=[.?!])\s", block)]
    return [one for one in found if len(words(one)) > 2]


def words(sentence: str) -> list[str]:
    return re.findall(r"[A-Za-z’']+", sentence)


def syllables(word: str) -> int:
    word = re.sub(r"(?<=[a-z]{2})e[sd]?$", "", word.lower())
    return max(1, len(re.findall(r"[aeiouy]+", word)))


def grade(found: list[str]) -> float:
    every = [word for one in found for word in words(one)]
    return 0.39 * len(every) / len(found) + 11.8 * sum(map(syllables, every)) / len(every) - 15.59


def test_the_measure_tells_a_plain_text_from_a_hard_one():
    plain = ["The cat sat on the mat.", "We come at nine."]
    hard = ["Notwithstanding aforementioned contractual obligations, remuneration necessitates immediate settlement."]
    assert grade(plain) < 2 < 15 < grade(hard)


def test_the_pages_together_have_a_reading_age_of_eleven_at_most():
    found = [one for path in PAGES for one in sentences(path.read_text(encoding="utf-8"))]
    assert len(found) > 60
    assert grade(found) + 5 <= 11, f"reading age {grade(found) + 5:.1f}"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_no_sentence_is_long(path):
    for one in sentences(path.read_text(encoding="utf-8")):
        assert len(words(one)) <= 25, one
