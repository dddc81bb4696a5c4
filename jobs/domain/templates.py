"""The network of steps that a new commission starts from. It lives in the database and is edited there."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from jobs.models import StepKind, Template, TemplateLink, TemplateStep, Track

K = StepKind
# kind, track, allowance in hours, what else the step needs. Common practice, no source: a workshop sets its own.
STEPS: list[tuple[StepKind, Track, float, dict[str, Any]]] = [
    (K.SURVEY, Track.WHOLE, 3, {"needs_client": True}),
    (K.DRAWING, Track.WHOLE, 12, {}),
    (K.APPROVAL, Track.WHOLE, 1, {"lead_days": 5}),
    (K.DEPOSIT, Track.WHOLE, 0.5, {"lead_days": 3}),
    (K.DOORS, Track.DOORS, 20, {}),
    (K.SPRAYER_OUT, Track.DOORS, 2, {"needs_van": True}),
    (K.SPRAYER_BACK, Track.DOORS, 0, {"lead_days": 10}),
    (K.INSPECT, Track.DOORS, 2, {}),
    (K.MATERIALS, Track.CARCASSES, 1, {"lead_days": 5}),
    (K.CARCASSES, Track.CARCASSES, 28, {"needs_floor": True}),
    (K.FINISH, Track.CARCASSES, 12, {"needs_floor": True}),
    (K.DRY_FIT, Track.CARCASSES, 6, {"needs_floor": True}),
    (K.BOUGHT_IN, Track.BOUGHT_IN, 1, {"lead_days": 10}),
    (K.WRAP, Track.WHOLE, 4, {"needs_floor": True}),
    (K.LOAD, Track.WHOLE, 3, {"needs_floor": True, "needs_helper": True, "needs_van": True}),
    (
        K.DELIVER,
        Track.WHOLE,
        4,
        {"hands": 1, "needs_helper": True, "needs_van": True, "needs_access": True, "needs_client": True},
    ),
    (K.FIT, Track.WHOLE, 24, {"needs_access": True}),
    (K.SNAGS, Track.WHOLE, 4, {"needs_access": True}),
    (K.HANDOVER, Track.WHOLE, 1, {"needs_client": True, "needs_access": True}),
    (K.RETURN_VISIT, Track.WHOLE, 1.5, {"needs_client": True, "needs_access": True}),
]
# before, after, greatest wait in working days: loaded pieces do not live in the van, carried-in ones get fitted.
LINKS: list[tuple[StepKind, StepKind, int | None]] = [
    (K.SURVEY, K.DRAWING, None),
    (K.DRAWING, K.APPROVAL, None),
    (K.DRAWING, K.DEPOSIT, None),
    (K.APPROVAL, K.DOORS, None),
    (K.DEPOSIT, K.DOORS, None),
    (K.DOORS, K.SPRAYER_OUT, None),
    (K.SPRAYER_OUT, K.SPRAYER_BACK, None),
    (K.SPRAYER_BACK, K.INSPECT, None),
    (K.APPROVAL, K.MATERIALS, None),
    (K.DEPOSIT, K.MATERIALS, None),
    (K.MATERIALS, K.CARCASSES, None),
    (K.CARCASSES, K.FINISH, None),
    (K.FINISH, K.DRY_FIT, None),
    (K.APPROVAL, K.BOUGHT_IN, None),
    (K.DEPOSIT, K.BOUGHT_IN, None),
    (K.INSPECT, K.WRAP, None),
    (K.DRY_FIT, K.WRAP, None),
    (K.BOUGHT_IN, K.WRAP, None),
    (K.WRAP, K.LOAD, None),
    (K.LOAD, K.DELIVER, 3),
    (K.DELIVER, K.FIT, 5),
    (K.FIT, K.SNAGS, None),
    (K.SNAGS, K.HANDOVER, 10),
    # The return visit is dated by handover in calendar days; the booking decides, not a wait in working days.
    (K.HANDOVER, K.RETURN_VISIT, None),
]
DEFAULT_NAME = "Fitted furniture, sprayed doors"


@transaction.atomic
def make_default_template() -> Template:
    """The default network, made once."""
    template, is_new = Template.objects.get_or_create(name=DEFAULT_NAME)
    if not is_new:
        return template
    steps = {}
    for position, (kind, track, hours, needs) in enumerate(STEPS):
        fields = {"hands": 0 if needs.get("lead_days") else 1} | needs
        steps[kind] = TemplateStep.objects.create(
            template=template,
            kind=kind,
            name=kind.label,
            track=track,
            position=position,
            allowance_hours=hours,
            **fields,
        )
    TemplateLink.objects.bulk_create(
        TemplateLink(before=steps[before], after=steps[after], greatest_wait_days=wait)
        for before, after, wait in LINKS
    )
    return template
