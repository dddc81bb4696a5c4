"""Asking, on the spot, what photographs may be used for."""

from __future__ import annotations

from django.db import transaction
from django.http import HttpResponse
from django.urls import reverse

from aftercare.domain.permissions import give_permission
from aftercare.forms.permissions import AskPermissionForm
from aftercare.models import Permission
from jobs.roles import may
from jobs.views.common import WorkshopRequest, answer_form, the_commission


def ask_permission(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    allowed = Permission.objects.filter(commission=commission, withdrawn_at__isnull=True)
    standing = {permission.use: permission for permission in allowed}
    form = AskPermissionForm(request.POST or None, standing=set(standing))

    @transaction.atomic
    def act() -> list[Permission]:
        data = form.cleaned_data
        return [
            give_permission(
                commission=commission,
                use=use,
                given_by=data["given_by"],
                way=data["way"],
                now=request.now,
                actor=request.user,
            )
            for use in data["uses"]
        ]

    back = commission.get_absolute_url() if may(request.user, "commission") else reverse("photographs", args=[number])
    said = ", ".join(str(permission).lower() for permission in standing.values())
    return answer_form(
        request,
        form,
        act=act,
        done=reverse("add_photographs", args=[number]) + "?purpose=finished",
        said="What they allow is kept. Now the photographs.",
        title="Photographs: ask first",
        subtitle=str(commission),
        lead="Read each out and tick only what they say yes to. No street number, keys, alarm panel or family "
        "pictures in the frame. They can take any of it back at any time."
        + (f" Allowed already: {said}." if said else " Nothing is allowed yet."),
        back=back,
        submit="Keep what they allow",
    )
