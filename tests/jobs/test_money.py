from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.money import LARGEST_PENCE, pence_of, pounds_of, split_pence
from jobs.words import money_in_words


@given(st.integers(0, LARGEST_PENCE))
def test_every_amount_reads_back_as_it_was_written(pence):
    assert pence_of(pounds_of(pence)) == pence
    assert pence_of(money_in_words(pence)) == pence


@given(st.integers(0, LARGEST_PENCE), st.lists(st.integers(0, 100), min_size=1, max_size=9))
def test_a_split_never_loses_a_penny_and_is_within_one_of_the_exact_share(total, cuts):
    ends = sorted(min(cut, 100) for cut in cuts)
    percents = [end - start for start, end in zip([0, *ends], [*ends, 100], strict=True)]
    parts = split_pence(total, percents)
    assert sum(parts) == total
    # The quota rule, which the largest remainder method is known to keep (Balinski and Young, "Fair
    # Representation", from memory): no share is off by a whole penny.
    assert all(abs(100 * part - total * percent) < 100 for part, percent in zip(parts, percents, strict=True))


def test_the_odd_pennies_go_where_most_was_lost():
    # By hand: a third each is not a whole percent, so 33, 33, 34 of 1.00 are exact; of 1.01 the extra goes to .34.
    assert split_pence(100, [33, 33, 34]) == [33, 33, 34]
    assert split_pence(101, [33, 33, 34]) == [33, 33, 35]
    assert split_pence(1, [50, 50]) == [1, 0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("-5", "never negative"),
        ("12.345", "no amount in pounds"),
        ("1,25", "no amount in pounds"),
        ("twelve", "no amount in pounds"),
        ("", "no amount in pounds"),
        ("1e9", "no amount in pounds"),
        ("99999999999", "more than this program keeps"),
        ("٣", "no amount in pounds"),
    ],
)
def test_what_is_no_amount_gets_a_sentence(text, words):
    with pytest.raises(ValueError, match=words):
        pence_of(text)


@pytest.mark.parametrize("percents", [[50, 49], [], [150, -50]])
def test_shares_that_are_none_are_refused(percents):
    with pytest.raises(ValueError, match=r"shares|negative"):
        split_pence(100, percents)
