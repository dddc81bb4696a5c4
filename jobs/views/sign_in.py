"""Invitations and wall screens."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from jobs import wall
from jobs.domain import people
from jobs.domain import sign_in as domain
from jobs.forms.sign_in import NewPasswordForm, PairingForm, WallScreenForm
from jobs.models import Device, Person
from jobs.rate_limits import too_many
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button


def invite_person(request: WorkshopRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)
    if refused := too_many(request, "invite_person"):
        return refused
    return answer_button(
        request,
        act=lambda: domain.invite_person(
            person=person, workshop=request.workshop, now=request.now, actor=request.user
        ),
        done=reverse("workshop"),
        said=f"The invitation for {person} goes out within two minutes. It is good for three days.",
    )


def forget_factors(request: WorkshopRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)
    return answer_button(
        request,
        act=lambda: people.forget_factors(person=person, now=request.now, actor=request.user),
        done=reverse("workshop"),
        said=f"{person} signs in with the password alone now, and can set up a new second factor.",
    )


@never_cache
@sensitive_post_parameters("password", "again")
@login_not_required
def accept_invitation(request: WorkshopRequest, token: str) -> HttpResponse:
    """GET shows a form and changes nothing; the POST sets the password and uses the link up."""
    if refused := too_many(request, "invitation"):
        return refused
    if domain.standing_invitation(token, now=request.now) is None:
        return render(request, "jobs/invitation_gone.html", status=410)
    form = NewPasswordForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            domain.accept_invitation(token=token, password=form.cleaned_data["password"], now=request.now)
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "Your password is set. Sign in with your e-mail and this password.")
            return redirect("account_login")
    return render(request, "jobs/invitation.html", {"form": form}, status=422 if form.is_bound else 200)


@never_cache
def add_wall_screen(request: WorkshopRequest) -> HttpResponse:
    """The page after the POST shows the pairing code, this once."""
    form = WallScreenForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            device, code = domain.add_wall_screen(now=request.now, actor=request.user, **form.cleaned_data)
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            address = request.build_absolute_uri(reverse("pair_wall_screen"))
            page = {"device": device, "pairing_code": code, "address": address}
            return render(request, "jobs/wall_screen_added.html", page)
    page = {"form": form, "title": "Add a wall screen", "back": reverse("workshop"), "submit": "Make a pairing code"}
    return render(request, "jobs/form_page.html", page, status=422 if form.is_bound else 200)


@never_cache
@login_not_required
def pair_wall_screen(request: WorkshopRequest) -> HttpResponse:
    """Typed on the screen itself: the one-time code becomes the screen's own cookie."""
    form = PairingForm(request.POST or None)
    if request.method == "POST":
        # The second limit counts every try from anywhere: the code is short.
        if refused := too_many(request, "pair_wall_screen", key="every screen"):
            return refused
        if form.is_valid():
            try:
                _, token = domain.pair_wall_screen(code=form.cleaned_data["code"], now=request.now)
            except Refusal as refusal:
                add_refusal(form, refusal)
            else:
                response = redirect("wall_board")
                wall.set_cookie(response, token)
                return response
    page = {"form": form, "title": "Pair this wall screen", "submit": "Pair this screen"}
    return render(request, "jobs/pair_wall_screen.html", page, status=422 if form.is_bound else 200)


def revoke_wall_screen(request: WorkshopRequest, pk: int) -> HttpResponse:
    device = get_object_or_404(Device, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.revoke_wall_screen(device=device, now=request.now, actor=request.user),
        done=reverse("workshop"),
        said=f"The screen “{device}” sees nothing more.",
    )
