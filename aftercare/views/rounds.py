from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from aftercare.domain.journeys import keep_journey, remove_journey
from aftercare.domain.rounds import take_rounds
from aftercare.forms.returns import JourneyForm
from aftercare.models import TravelTime
from aftercare.queries.return_visits import known_towns
from aftercare.queries.rounds_page import rounds_page
from jobs.views.common import WorkshopRequest, answer_button, answer_form


def return_rounds(request: WorkshopRequest) -> HttpResponse:
    """A proposal: nothing is moved, and nobody is told, by looking at it."""
    return render(request, "aftercare/rounds.html", rounds_page(request.workshop, request.now))


def take_all(request: WorkshopRequest) -> HttpResponse:
    """Yes to the proposal as it was shown, all or nothing."""
    return answer_button(
        request,
        act=lambda: take_rounds(
            agreed_to=request.POST.get("agreed_to", ""),
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        done=reverse("return_rounds"),
        said="Moved. New invites go by mail; whoever has no e-mail is on the list of calls.",
    )


def journeys(request: WorkshopRequest) -> HttpResponse:
    """Journeys that were driven and typed in; every other is reckoned from the map."""
    towns, without = known_towns(request.workshop)
    form = JourneyForm(request.POST or None, towns=towns)
    return answer_form(
        request,
        form,
        act=lambda: keep_journey(now=request.now, actor=request.user, **form.cleaned_data),
        done=reverse("journeys"),
        said="The journey is noted; it counts both ways.",
        template="aftercare/journeys.html",
        journeys=TravelTime.objects.all(),
        without=without,
        submit="Note the journey",
    )


def drop_journey(request: WorkshopRequest, pk: int) -> HttpResponse:
    journey = get_object_or_404(TravelTime, pk=pk)
    return answer_button(
        request,
        act=lambda: remove_journey(journey=journey, now=request.now, actor=request.user),
        done=reverse("journeys"),
        said="Taken out; that journey is reckoned from the map again.",
    )
