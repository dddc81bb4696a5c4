"""The Job board on the wall, Where it stands, and the setting up of a screen."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from jobs import wall as screens
from jobs.domain import steps as step_domain
from jobs.domain import wall as domain
from jobs.forms.wall import MOVES, WallSetUpForm, line_to_draw
from jobs.models import DaybookLine, Device, Step
from jobs.queries.floor import HEIGHT, OUTER_WALL, WIDTH
from jobs.queries.shadow_wall import shadow_wall
from jobs.queries.wall import NOT_AT_THE_WALL, wall_of
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal
from jobs.views.steps import the_step
from jobs.wall_sizes import ScreenSizes, sizes_from_cookie

SIZES_COOKIE = "wall_sizes"


def sizes_of(request: WorkshopRequest) -> ScreenSizes:
    """What this screen was told: a paired one keeps it on its row, a person's browser in a cookie."""
    if isinstance(request.user, Device):
        device = request.user
        return ScreenSizes(
            device.mm_per_px,
            device.viewing_distance_m,
            device.has_shortcuts,
            device.refreshes,
            device.stays_awake,
        )
    return sizes_from_cookie(request.COOKIES.get(SIZES_COOKIE, ""))


@require_safe
def wall_board(request: WorkshopRequest) -> HttpResponse:
    """The board sized for the wall; `?part=1` gives what stands on it alone, for the refresh of every minute."""
    if request.workshop is None:
        return render(request, "jobs/board_empty.html")
    wall = wall_of(request.workshop, request.now, row=_number(request, "row"), undo=_number(request, "undo"))
    context = {"wall": wall, "board": wall.board, "sizes": sizes_of(request), "changes": "changes" in request.GET}
    return render(request, "jobs/wall_part.html" if "part" in request.GET else "jobs/wall.html", context)


@require_safe
def where_it_stands(request: WorkshopRequest) -> HttpResponse:
    """Every commission on the outline of the workshop's floor, and the same as a list by place."""
    if request.workshop is None:
        return render(request, "jobs/board_empty.html")
    context = {
        "shadow": shadow_wall(request.workshop, request.now),
        "sizes": sizes_of(request),
        "width": WIDTH,
        "height": HEIGHT,
        "outer": OUTER_WALL,
    }
    return render(request, "jobs/where_part.html" if "part" in request.GET else "jobs/where.html", context)


@require_safe
def wall_sizes(request: WorkshopRequest) -> HttpResponse:
    """A style sheet of two lines: how long a millimetre is on this screen, and how high its capitals are."""
    return HttpResponse(sizes_of(request).style_sheet(), content_type="text/css; charset=utf-8")


@require_POST
def wall_start(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = _tickable(pk)
    return _tick(
        request,
        step,
        lambda: step_domain.start_step(step=step, at=request.now, now=request.now, actor=request.user),
    )


@require_POST
def wall_done(request: WorkshopRequest, pk: int) -> HttpResponse:
    step = _tickable(pk)
    return _tick(
        request,
        step,
        lambda: step_domain.finish_step(step=step, at=request.now, now=request.now, actor=request.user),
    )


@require_POST
def wall_undo(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Takes back what a line of the daybook says, as long as nothing has happened to the step since."""
    line = get_object_or_404(DaybookLine.objects.select_related("commission"), pk=pk)
    try:
        step = domain.undo_tick(line=line, now=request.now, actor=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return _to_board()
    messages.success(request, f"{step.commission.nickname}: taken back.")
    return _to_board(row=step.commission.number)


def wall_screen(request: WorkshopRequest) -> HttpResponse:
    """Set up this screen: a line to lay a rule on, the viewing distance, keys, refresh, staying awake."""
    sizes = sizes_of(request)
    form = WallSetUpForm(request.POST or None, initial=WallSetUpForm.from_sizes(sizes, request.GET))
    if request.method == "POST" and form.is_valid():
        try:
            return _keep(request, form.sizes())
        except Refusal as refusal:
            add_refusal(form, refusal)
    line_px, rule_mm = line_to_draw(form)
    page = {"form": form, "line_px": line_px, "rule_mm": rule_mm, "sizes": sizes, "moves": MOVES}
    return render(request, "jobs/wall_screen.html", page, status=422 if form.is_bound else 200)


def _keep(request: WorkshopRequest, sizes: ScreenSizes) -> HttpResponse:
    response = _to_board()
    if isinstance(request.user, Device):
        domain.set_up_screen(device=request.user, sizes=sizes, now=request.now, actor=request.user)
    else:
        response.set_cookie(
            SIZES_COOKIE,
            sizes.as_cookie(),
            max_age=screens.COOKIE_LASTS,
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
    messages.success(request, "This screen is set up.")
    return response


def _tickable(pk: int) -> Step:
    step = the_step(pk)
    if step.kind in NOT_AT_THE_WALL or step.commission.closed_on is not None:
        raise Http404
    return step


def _tick(request: WorkshopRequest, step: Step, act: Callable[[], None]) -> HttpResponse:
    number = step.commission.number
    try:
        act()
    except Refusal as refusal:
        messages.error(request, _in_wall_words(step, refusal))
        return _to_board(row=number)
    line = DaybookLine.objects.filter(commission=step.commission_id, facts__step=step.pk).order_by("-pk").first()
    assert line is not None  # the act has just written it
    return _to_board(row=number, undo=line.pk)


def _in_wall_words(step: Step, refusal: Refusal) -> str:
    """The desk's sentence may name a step in free words, or money that has not come: not for the wall."""
    if step.commission.held_since is not None:
        return f"{step.commission.nickname} is on hold."
    if refusal.field == "override_reason":
        return f"{step.commission.nickname}: something has to be cleared at the desk first."
    return f"{step.commission.nickname}: it was ticked already, nothing was changed."


def _to_board(**state: int) -> HttpResponse:
    return redirect(f"{reverse('wall_board')}?{urlencode(state)}" if state else reverse("wall_board"))


def _number(request: WorkshopRequest, name: str) -> int | None:
    told = request.GET.get(name, "")
    return int(told) if told.isascii() and told.isdigit() and len(told) < 12 else None
