"""Changing the network of steps that a new commission copies; commissions that are open keep theirs."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.db.models import F

from jobs.domain.daybook import write_line
from jobs.models import Person, Template, TemplateLink, TemplateStep
from jobs.refusal import Refusal


@transaction.atomic
def save_template_step(*, step: TemplateStep, now: dt.datetime, actor: Person | None) -> TemplateStep:
    """Rename a step, change its hours and what it needs."""
    step.save()
    write_line(act="save_template_step", now=now, actor=actor, template=step.template_id, template_step=step.pk)
    return step


@transaction.atomic
def add_template_step(
    *, step: TemplateStep, after: TemplateStep | None, now: dt.datetime, actor: Person | None
) -> TemplateStep:
    """A further step right after another: it comes before what came after that one. With `after` None it comes first
    and stands before every step that nothing came before. No circle can come of either."""
    others = TemplateStep.objects.filter(template=step.template)
    if after is not None and after.template_id != step.template_id:
        raise Refusal("after", "Comes after: choose a step of the same list.")
    step.position = 0 if after is None else after.position + 1
    first = list(others.filter(links_in__isnull=True)) if after is None else []
    others.filter(position__gte=step.position).update(position=F("position") + 1)
    step.save()
    if after is None:
        TemplateLink.objects.bulk_create([TemplateLink(before=step, after=one) for one in first])
    else:
        TemplateLink.objects.filter(before=after).update(before=step)
        TemplateLink.objects.create(before=after, after=step)
    write_line(act="add_template_step", now=now, actor=actor, template=step.template_id, template_step=step.pk)
    return step


@transaction.atomic
def remove_template_step(*, step: TemplateStep, now: dt.datetime, actor: Person | None) -> None:
    """Take a step out; what came before it now comes before what came after it. Refused: the last one of a list."""
    if not TemplateStep.objects.filter(template=step.template).exclude(pk=step.pk).exists():
        raise Refusal("", "The list would be empty: add another step first.")
    befores = [link.before_id for link in step.links_in.all()]
    afters = [link.after_id for link in step.links_out.all()]
    TemplateLink.objects.bulk_create(
        [TemplateLink(before_id=before, after_id=after) for before in befores for after in afters],
        ignore_conflicts=True,
    )
    write_line(act="remove_template_step", now=now, actor=actor, template=step.template_id, template_step=step.pk)
    step.delete()


@transaction.atomic
def rename_template(*, template: Template, name: str, now: dt.datetime, actor: Person | None) -> None:
    if not name.strip():
        raise Refusal("name", "Name: give the list a name.")
    if Template.objects.filter(name__iexact=name.strip()).exclude(pk=template.pk).exists():
        raise Refusal("name", "Name: another list has this name; give another one.")
    template.name = name.strip()
    template.save(update_fields=["name"])
    write_line(act="rename_template", now=now, actor=actor, template=template.pk)
