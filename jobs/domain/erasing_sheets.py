"""What the sheets know of a client, taken away when the client is forgotten."""

from __future__ import annotations

import datetime as dt

from jobs.models import ClientKey, Consignment, Contract, DrawingVersion, Snag, StagePayment, Variation


def forget_sheets(client_id: int, now: dt.datetime) -> None:
    """For the registry of erasers: names go, and words that may hold one. Prices, dates, hashes and hours stay: they
    say nothing of a person, and accounts have to be kept."""
    mine = {"commission__client_id": client_id}
    ClientKey.objects.filter(**mine).delete()
    Snag.objects.filter(**mine).update(agreed_by="", words="")
    Variation.objects.filter(**mine).update(answered_by_name="", answered_how="", words="")
    Contract.objects.filter(**mine).update(agreed_by_name="", how_agreed="", notice_how="", exclusions="")
    DrawingVersion.objects.filter(**mine).update(approved_by_name="", note="")
    Consignment.objects.filter(**mine).update(notes="")
    for payment in StagePayment.objects.filter(**mine):
        payment.receipts.update(evidence="")
