"""Messages, calls and letters; answers to invites."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from jobs.domain import attendance, sending
from jobs.forms.post import AnswerForm
from jobs.invites.intake import take_mail
from jobs.invites.preview import preview
from jobs.models import Channel, HeldReply, Message, MessageState, Workshop
from jobs.queries.message_page import is_for_us, message_page, message_words, reply_page, telephone_of
from jobs.views.common import WorkshopRequest, answer_button, answer_form
from jobs.views.paper import paper

# A mail is shown as the client's program shows it, styles and all, but can run and fetch nothing.
ONLY_TO_LOOK_AT = "sandbox; default-src 'none'; style-src 'unsafe-inline'"


@require_safe
def messages_page(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/messages.html", message_page(request.workshop, request.now))


@require_safe
def message(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One message: to whom, how it stands, and how it reads."""
    found = _the_message(pk)
    context = {
        "message": found,
        "words": message_words(found.kind),
        "telephone": telephone_of(found),
        "preview": preview(found, request.workshop, request.now),
        "is_call": found.channel == Channel.CALL,
        "is_for_us": is_for_us(found.kind),
        "waits": found.state == MessageState.WAITING,
        "can_be_tried_again": found.state in (MessageState.FAILED, MessageState.UNKNOWN),
    }
    return render(request, "jobs/message.html", context)


@require_safe
def message_html(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The HTML part alone, as a page that can do nothing."""
    shown = preview(_the_message(pk), request.workshop, request.now)
    answer = HttpResponse(shown.html or f"<!DOCTYPE html><p lang='en-GB'>{shown.why_not or 'It has no HTML.'}</p>")
    answer["Content-Security-Policy"] = ONLY_TO_LOOK_AT
    answer["Cache-Control"] = "no-store"
    return answer


@require_safe
def letter(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The words as a letter, for a client without e-mail: to look at, and to print from the browser."""
    return render(request, "jobs/letter.html", letter_page(_the_message(pk), request.workshop, request.now))


@require_safe
def letter_pdf(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The same letter as a PDF, with the address where the window of the envelope is."""
    page = letter_page(_the_message(pk), request.workshop, request.now)
    back = reverse("letter", args=[pk])
    if page["preview"].why_not:
        return redirect(back)
    return paper(request, "pdf/letter.html", page, name=f"letter-{pk}.pdf", back=back)


def letter_page(message: Message, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Address, day and words of a letter; the address only where it goes to the client themselves."""
    commission = message.commission
    address = ""
    if commission is not None and message.to_name == commission.client.name:
        address = "\n".join(filter(None, [commission.client.address, commission.client.postcode]))
    shown = preview(message, workshop, now)
    return {"message": message, "preview": shown, "address": address, "body": shown.text, "now": now}


def retry_message(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = _the_message(pk)
    return answer_button(
        request,
        act=lambda: sending.retry_message(message=found, now=request.now, actor=request.user),
        done="messages",
        said="It is tried again within two minutes.",
    )


def make_call(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = _the_message(pk)
    return answer_button(
        request,
        act=lambda: sending.make_call(message=found, now=request.now, actor=request.user),
        done="job_board" if request.POST.get("from") == "board" else "messages",
        said=f"Noted: {found.to_name or 'they'} has been told.",
    )


def replies(request: WorkshopRequest) -> HttpResponse:
    """Answers that wait for a person; and a form to hand one in."""
    is_handed_in = request.method == "POST"
    form = AnswerForm(request.POST, request.FILES) if is_handed_in else AnswerForm()
    return answer_form(
        request,
        form,
        act=lambda: take_mail(
            form.cleaned_data["file"].read(),
            arrived_at=request.now,
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        done="replies",
        said=lambda reply: f"{reply.get_state_display()}. {reply.sentence}",
        template="jobs/replies.html",
        submit="Hand it in",
        **reply_page(),
    )


def accept_reply(request: WorkshopRequest, pk: int) -> HttpResponse:
    reply = get_object_or_404(HeldReply, pk=pk)
    return answer_button(
        request,
        act=lambda: attendance.accept_reply(reply=reply, now=request.now, actor=request.user),
        done=reverse("replies"),
        said="The answer stands with the visit.",
    )


def dismiss_reply(request: WorkshopRequest, pk: int) -> HttpResponse:
    reply = get_object_or_404(HeldReply.objects.select_related("visit__commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: attendance.dismiss_reply(reply=reply, now=request.now, actor=request.user),
        done=reverse("replies"),
        said="Put aside; nothing was changed.",
    )


def _the_message(pk: int) -> Message:
    found = Message.objects.select_related("commission__client", "commission__maker", "visit__person")
    return get_object_or_404(found.select_related("visit__commission__client", "commission__client"), pk=pk)
