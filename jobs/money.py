"""Amounts in whole pence: read, split, added. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

# £99,999,999.99; a larger figure in a workshop of five is a slip of the finger.
LARGEST_PENCE = 9_999_999_999
_AMOUNT = re.compile(r"^(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d{1,2})?$", re.ASCII)


def pence_of(text: str) -> int:
    """Pence of "1,250", "1250.5" or "£1,250.50". Raises ValueError with a sentence for anything else."""
    plain = text.strip().removeprefix("£").strip()
    if plain.startswith("-"):
        raise ValueError(
            f"An amount is never negative: {text.strip()!r} is. Write what is to be paid, such as 1250.00."
        )
    if not _AMOUNT.match(plain):
        raise ValueError(f"{text.strip()!r} is no amount in pounds: write it as 1250 or 1250.00.")
    pence = int(Decimal(plain.replace(",", "")) * 100)
    if pence > LARGEST_PENCE:
        raise ValueError(f"{text.strip()!r} is more than this program keeps: check the figure.")
    return pence


def pounds_of(pence: int) -> str:
    """ "1250.00": what a field shows and `pence_of` reads back."""
    return f"{pence // 100}.{pence % 100:02d}"


def split_pence(total_pence: int, percents: Sequence[int]) -> list[int]:
    """Whole pence by whole percents which sum to 100, in their order; the parts sum to the total exactly.

    Pence that do not divide go to the parts that lost most by rounding down (largest remainder, also called
    Hamilton's method), earlier parts first. Raises ValueError where the percents are not of the kind described.
    """
    if total_pence < 0 or any(percent < 0 for percent in percents):
        raise ValueError("An amount and its shares are never negative.")
    if sum(percents) != 100:
        raise ValueError(f"The shares come to {sum(percents)} %: they must come to 100.")
    parts = [total_pence * percent // 100 for percent in percents]
    by_loss = sorted(range(len(parts)), key=lambda place: (-(total_pence * percents[place] % 100), place))
    for place in by_loss[: total_pence - sum(parts)]:
        parts[place] += 1
    return parts
