from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.invites.facts import FactFault
from jobs.invites.organiser import is_token, new_token, organiser_address, token_of

BASE = "office@example.org"
tokens = st.text(alphabet="abcdefghijklmnopqrstuvwxyz0123456789", min_size=16, max_size=40)


@given(tokens, st.booleans())
def test_the_token_comes_back_whatever_the_case_of_the_address(token: str, shouted: bool) -> None:
    address = organiser_address(BASE, token)
    assert token_of(address.upper() if shouted else address, BASE.title()) == token


def test_a_new_token_has_128_bits_and_is_not_drawn_twice() -> None:
    drawn = {new_token() for _ in range(1000)}
    assert len(drawn) == 1000
    assert all(len(token) == 32 and int(token, 16) >= 0 for token in drawn)


@pytest.mark.parametrize(
    "address",
    [
        "office@example.org",
        "office+@example.org",
        "office+short@example.org",
        "office+0123456789abcdef@example.com",
        "ofice+0123456789abcdef@example.org",
        "office+0123456789abcdef!@example.org",
        "",
        "+@",
    ],
)
def test_an_address_without_our_token_gives_none(address: str) -> None:
    assert token_of(address, BASE) is None


def test_a_base_that_has_a_plus_already_keeps_it() -> None:
    address = organiser_address("office+north@example.org", "a" * 20)
    assert address == f"office+north+{'a' * 20}@example.org"
    assert token_of(address, "office+north@example.org") == "a" * 20


@pytest.mark.parametrize("token", ["", "short", "A" * 20, "a" * 41, "a b" * 8, "a" * 16 + "\n"])
def test_a_bad_token_is_refused(token: str) -> None:
    with pytest.raises(FactFault, match="16 to 40"):
        organiser_address(BASE, token)


def test_more_than_64_characters_before_the_at_sign_are_refused() -> None:
    """RFC 5321 4.5.3.1.1."""
    assert organiser_address("a" * 31 + "@example.org", "b" * 32).index("@") == 64
    with pytest.raises(FactFault, match="shorter name") as caught:
        organiser_address("a" * 32 + "@example.org", "b" * 32)
    assert caught.value.field == "organiser_email"


def test_tokens_are_compared_whole() -> None:
    assert is_token("a" * 20, "a" * 20)
    assert not is_token("a" * 19, "a" * 20)
    assert not is_token(None, "a" * 20)
    assert not is_token("é" * 20, "a" * 20)
