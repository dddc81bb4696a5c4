from __future__ import annotations

from django.db import models

from jobs.models.commission import Commission
from jobs.models.kinds import Channel, MessageState, SendPolicy
from jobs.models.visit import Visit


class Message(models.Model):
    """Something to be sent, written in the same transaction as the fact that asks for it.

    `key` is unique: asking twice sends once. `lease_token` is the fence: only the holder of the present lease may
    record an outcome. `message_id` is fixed when the row is made, so a mail sent twice is recognisably one mail.
    """

    key = models.CharField(max_length=160, unique=True)
    kind = models.CharField(max_length=40)
    channel = models.CharField(max_length=6, choices=Channel.choices, default=Channel.MAIL)
    policy = models.CharField(max_length=16, choices=SendPolicy.choices, default=SendPolicy.AT_LEAST_ONCE)
    commission = models.ForeignKey(
        Commission, on_delete=models.CASCADE, null=True, blank=True, related_name="messages"
    )
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="messages")
    to_name = models.CharField(max_length=120, blank=True)
    to_email = models.EmailField(blank=True)
    payload = models.JSONField(default=dict)  # ids and versions only
    due_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=MessageState.choices, default=MessageState.WAITING)
    lease_token = models.CharField(max_length=32, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(null=True, blank=True)
    message_id = models.CharField(max_length=200)
    subject = models.CharField(max_length=200, blank=True)
    # As it went, without the secret of a link: for the screen, never for sending again.
    body = models.TextField(blank=True)
    html = models.TextField(blank=True)
    error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_at", "pk"]
        indexes = [models.Index(fields=["state", "due_at"])]

    def __str__(self) -> str:
        return self.key


class Heartbeat(models.Model):
    """When each recurring job last finished; a stale row is how a stalled worker is noticed."""

    name = models.CharField(max_length=40, unique=True)
    last_ok_at = models.DateTimeField()
