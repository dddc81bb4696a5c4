"""Access codes: kept, listed without what they are, shown for thirty seconds, deleted."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from jobs.domain import codes as domain
from jobs.forms.sign_in import CodeForm
from jobs.models import AccessCode
from jobs.queries.codes import codes_page, may_see_codes_of
from jobs.rate_limits import too_many
from jobs.refusal import Refusal
from jobs.roles import may
from jobs.second_factor import address_to_prove, factors_of, second_factor_at
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def codes(request: WorkshopRequest, number: int) -> HttpResponse:
    """Which codes are kept for a commission, and who has seen them."""
    commission = the_commission(number)
    if not may_see_codes_of(request.user, commission, request.workshop):
        raise PermissionDenied
    return render(request, "jobs/codes.html", codes_page(commission, request.workshop, request.now))


@sensitive_post_parameters("code", "place")
def keep_code(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = CodeForm(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: domain.keep_code(
            commission=commission,
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
            **form.cleaned_data,
        ),
        done=commission.get_absolute_url(),
        said="The code is kept, sealed. It is deleted seven days after the job ends.",
        title="Keep a code",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Keep the code",
    )


@never_cache
def reveal_code(request: WorkshopRequest, pk: UUID) -> HttpResponse:
    """GET asks; POST shows, once the second factor has been given in the last five minutes."""
    rows = AccessCode.objects.select_related("commission__client").defer("code", "place")
    code = get_object_or_404(rows, pk=pk)
    if not may_see_codes_of(request.user, code.commission, request.workshop):
        raise PermissionDenied
    back = place_to_leave(request, code)
    page: dict[str, Any] = {"code": code, "commission": code.commission, "back": back}
    if not factors_of(request.user):
        return render(request, "jobs/code_needs_factor.html", page, status=403)
    proved_at = second_factor_at(request)
    if proved_at is None or request.now - proved_at > domain.RECENT:
        return redirect(address_to_prove(request.user, reverse("reveal_code", args=[pk])))
    if request.method != "POST":
        return render(request, "jobs/code_ask.html", page)
    if refused := too_many(request, "reveal_code"):
        return refused
    try:
        page["shown"] = domain.reveal_code(
            code=code,
            person=request.user,
            second_factor_at=proved_at,
            workshop=request.workshop,
            now=request.now,
        )
    except Refusal as refusal:
        return render(request, "jobs/code_ask.html", page | {"refusal": refusal.sentence}, status=422)
    response = render(request, "jobs/code_shown.html", page | {"seconds": domain.SHOWN_SECONDS})
    # Works without scripts, and takes the page out of the browser's history of forms.
    response["Refresh"] = f"{domain.SHOWN_SECONDS}; url={back}"
    return response


def delete_code(request: WorkshopRequest, pk: UUID) -> HttpResponse:
    code = get_object_or_404(AccessCode.objects.select_related("commission").defer("code", "place"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.delete_code(code=code, now=request.now, actor=request.user),
        done=code.commission.get_absolute_url(),
        said="The code is deleted.",
    )


def place_to_leave(request: WorkshopRequest, code: AccessCode) -> str:
    if may(request.user, "commission"):
        return code.commission.get_absolute_url()
    return reverse("codes", args=[code.commission.number])
