"""Bank holidays 2026 to 2028 and clock changes, typed by hand for tests.

2026 England and Wales also matches a public source-code copy of the government list (secondary source). 15 June
2026 in Scotland: Royal Proclamation under the Banking and Financial Dealings Act 1971 s1(3). 2028 follows from the
rules of the Act and is not confirmed as proclaimed. The government's own list for these years was not seen.
"""

from __future__ import annotations

from datetime import date

# Day and month of each bank holiday, substitutes included, the weekend days they stand for left out.
ENGLAND_AND_WALES = {
    2026: "1/1 3/4 6/4 4/5 25/5 31/8 25/12 28/12",
    2027: "1/1 26/3 29/3 3/5 31/5 30/8 27/12 28/12",
    2028: "3/1 14/4 17/4 1/5 29/5 28/8 25/12 26/12",
}
SCOTLAND = {
    2026: "1/1 2/1 3/4 4/5 25/5 15/6 3/8 30/11 25/12 28/12",
    2027: "1/1 4/1 26/3 3/5 31/5 2/8 30/11 27/12 28/12",
    2028: "3/1 4/1 14/4 1/5 29/5 7/8 30/11 25/12 26/12",
}
NORTHERN_IRELAND = {
    2026: "1/1 17/3 3/4 6/4 4/5 25/5 13/7 31/8 25/12 28/12",
    2027: "1/1 17/3 26/3 29/3 3/5 31/5 12/7 30/8 27/12 28/12",
    2028: "3/1 17/3 14/4 17/4 1/5 29/5 12/7 28/8 25/12 26/12",
}
BANK_HOLIDAYS = {
    "england": ENGLAND_AND_WALES,
    "wales": ENGLAND_AND_WALES,
    "scotland": SCOTLAND,
    "northern_ireland": NORTHERN_IRELAND,
}
# Clocks go forward and back at 01:00 UTC (tz database).
CLOCK_CHANGES = {
    2026: (date(2026, 3, 29), date(2026, 10, 25)),
    2027: (date(2027, 3, 28), date(2027, 10, 31)),
    2028: (date(2028, 3, 26), date(2028, 10, 29)),
}


def days_of(nation: str, year: int) -> list[date]:
    """The typed list of a nation and year as dates, in order."""
    pairs = (entry.split("/") for entry in BANK_HOLIDAYS[nation][year].split())
    return [date(year, int(month), int(day)) for day, month in pairs]
