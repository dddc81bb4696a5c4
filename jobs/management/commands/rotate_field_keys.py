from __future__ import annotations

from typing import Any

from allauth.mfa.models import Authenticator
from django.apps import apps
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from jobs.secrets.field import Sealed, SealedField
from jobs.secrets.sealing import NoKeyFits, is_under_newest_key, reseal

# What the sign-in library keeps of a factor through our adapter (jobs.accounts.SealedMFAAdapter).
FACTOR_SECRETS = ("secret", "seed")


class Command(BaseCommand):
    help = (
        "Seal every code and second factor anew with the first key of FIELD_KEYS. To change keys: put the new one "
        "first and leave the old one behind it, restart, run this, then take the old one out and restart."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        resealed, unreadable = 0, []
        for model in apps.get_models():
            for field in model._meta.local_fields:
                if isinstance(field, SealedField):
                    done, broken = reseal_column(model, field.name)
                    resealed += done
                    unreadable += broken
        done, broken = reseal_factors()
        resealed += done
        unreadable += broken
        self.stdout.write(f"{resealed} sealed anew with the newest key.")
        if unreadable:
            raise CommandError(
                f"{len(unreadable)} open with no key of FIELD_KEYS and were left alone: {', '.join(unreadable)}. "
                "Put the key they were sealed with back into FIELD_KEYS, or delete them."
            )


def reseal_column(model: Any, name: str) -> tuple[int, list[str]]:
    """How many values of one column were sealed anew, and which rows open with no key."""
    done, broken = 0, []
    for pk, sealed in model._base_manager.order_by("pk").values_list("pk", name):
        if sealed is None or is_under_newest_key(sealed.token):
            continue
        try:
            token = reseal(sealed.token)
        except NoKeyFits:
            broken.append(f"{model._meta.label} {pk} {name}")
            continue
        with transaction.atomic():
            # Read again under the lock: the row may have gone, or been written anew, since the list was made.
            row = model._base_manager.select_for_update().filter(pk=pk).only(name).first()
            if row is not None and getattr(row, name) == sealed:
                done += model._base_manager.filter(pk=pk).update(**{name: Sealed(token)})
    return done, broken


def reseal_factors() -> tuple[int, list[str]]:
    """The same for TOTP secrets and the seeds of recovery codes, which lie in a JSON column of the library."""
    done, broken = 0, []
    for pk in Authenticator.objects.order_by("pk").values_list("pk", flat=True):
        with transaction.atomic():
            factor = Authenticator.objects.select_for_update().filter(pk=pk).first()
            if factor is None:
                continue
            stale = {
                name: factor.data[name]
                for name in FACTOR_SECRETS
                if factor.data.get(name) and not is_under_newest_key(factor.data[name])
            }
            try:
                fresh = {name: reseal(token) for name, token in stale.items()}
            except NoKeyFits:
                broken.append(f"second factor {pk} of person {factor.user_id}")
                continue
            if fresh:
                factor.data |= fresh
                factor.save(update_fields=["data"])
                done += len(fresh)
    return done, broken
