"""The client's own page: its link, the browser let in by it, what was decided, times offered."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from jobs.models.commission import Commission
from jobs.models.kinds import VisitKind
from jobs.models.person import Person
from jobs.models.step import Step
from jobs.models.visit import Visit


class LinkScope(models.TextChoices):
    VIEW = "view", "May look"
    DECIDE = "decide", "May look and decide"


class ClientLink(models.Model):
    """A link to the page of one commission. Its token is shown once, or mailed; what is kept is its SHA-256."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="client_links")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    scope = models.CharField("what it opens", max_length=6, choices=LinkScope.choices, default=LinkScope.DECIDE)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField("made")
    expires_at = models.DateTimeField("runs out")
    revoked_at = models.DateTimeField("taken back", null=True, blank=True)
    last_used_at = models.DateTimeField("last opened", null=True, blank=True)
    use_count = models.PositiveIntegerField("times opened", default=0)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(expires_at__gt=F("made_at")), name="client_link_lasts_a_while")
        ]

    def __str__(self) -> str:
        return f"Link {self.pk}"


class ClientSession(models.Model):
    """A browser that exchanged a link for a cookie. It ends with its own time, or with the link."""

    link = models.ForeignKey(ClientLink, on_delete=models.CASCADE, related_name="sessions")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    started_at = models.DateTimeField()
    expires_at = models.DateTimeField(db_index=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]

    def __str__(self) -> str:
        return f"Session {self.pk}"


class ClientDecision(models.Model):
    """What a client did on their page, with the sentence they were shown. `facts` holds ids and times only."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="client_decisions")
    link = models.ForeignKey(ClientLink, on_delete=models.SET_NULL, null=True, related_name="decisions")
    kind = models.CharField(max_length=30)
    said = models.CharField(max_length=300)
    facts = models.JSONField(default=dict)
    decided_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-decided_at", "-pk"]
        indexes = [models.Index(fields=["commission", "decided_at"])]

    def __str__(self) -> str:
        return self.said


class SlotOffer(models.Model):
    """A time the client may pick for a visit. It holds nobody's day: quarter hours are taken by picking."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="slot_offers")
    kind = models.CharField("what for", max_length=12, choices=VisitKind.choices)
    # The visit that is moved by picking; without one, picking books a new visit.
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="offers")
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    starts_at = models.DateTimeField("starts")
    ends_at = models.DateTimeField("ends")
    reason = models.CharField("why this time is a good one", max_length=160, blank=True)
    made_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="offer_ends_after_it_starts"),
            models.UniqueConstraint(
                fields=["commission", "kind", "starts_at"],
                condition=Q(taken_at__isnull=True, withdrawn_at__isnull=True),
                name="one_open_offer_a_time",
            ),
        ]

    def __str__(self) -> str:
        return str(self.get_kind_display())
