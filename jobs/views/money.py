"""Stage payments, the contract, variations."""

from __future__ import annotations

from decimal import Decimal

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.domain import contracts
from jobs.domain import payments as domain
from jobs.forms.money import (
    AnswerForm,
    ClearedForm,
    ContractForm,
    ReceiptForm,
    StagePaymentForm,
    StagePaymentsForm,
    VariationForm,
)
from jobs.models import CANCELLATION_CAUTION, Contract, Receipt, StagePayment, Variation
from jobs.queries.money_page import money_page
from jobs.queries.planning_input import half_day_hours
from jobs.views.common import WorkshopRequest, answer_button, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url
from jobs.words import money_in_words


def money(request: WorkshopRequest, number: int) -> HttpResponse:
    return render(request, "jobs/money.html", money_page(the_commission(number), request.workshop, request.now))


def agree_stage_payments(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    agreed = Contract.objects.filter(commission=commission).first()
    form = StagePaymentsForm(
        request.POST or None,
        shares=domain.USUAL_SHARES,
        initial={"price": agreed.price_pence if agreed else None},
    )
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.agree_stage_payments(
            commission=commission,
            total_pence=form.cleaned_data["price"],
            shares=form.chosen(),
            now=request.now,
            actor=request.user,
        ),
        commission=commission,
        back=sheet_url("money", commission),
        title="Agree the stage payments",
        submit="Split the price",
    )


def add_stage_payment(request: WorkshopRequest, number: int) -> HttpResponse:
    return _stage_payment(request, StagePayment(commission=the_commission(number)), "Add a stage payment")


def the_payment(pk: int) -> StagePayment:
    return get_object_or_404(StagePayment.objects.select_related("commission"), pk=pk)


def edit_stage_payment(request: WorkshopRequest, pk: int) -> HttpResponse:
    payment = the_payment(pk)
    return _stage_payment(request, payment, f"Change “{payment}”")


def _stage_payment(request: WorkshopRequest, payment: StagePayment, title: str) -> HttpResponse:
    form = StagePaymentForm(request.POST or None, instance=payment)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.save_stage_payment(payment=form.save(commit=False), now=request.now, actor=request.user),
        commission=payment.commission,
        back=sheet_url("money", payment.commission),
        title=title,
        submit="Save the stage payment",
    )


def remove_stage_payment(request: WorkshopRequest, pk: int) -> HttpResponse:
    payment = the_payment(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_stage_payment(payment=payment, now=request.now, actor=request.user),
        done=sheet_url("money", payment.commission),
        said=f"“{payment}” is out.",
    )


def note_receipt(request: WorkshopRequest, pk: int) -> HttpResponse:
    payment = the_payment(pk)
    today = request.workshop.local_day(request.now)
    wanting = payment.amount_pence - domain.received_pence(payment)
    form = ReceiptForm(request.POST or None, initial={"amount": wanting, "received_on": today})
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.note_receipt(
            payment=payment,
            amount_pence=form.cleaned_data["amount"],
            received_on=form.cleaned_data["received_on"],
            cleared_on=form.cleaned_data["cleared_on"],
            evidence=form.cleaned_data["evidence"],
            today=today,
            now=request.now,
            actor=request.user,
        ),
        commission=payment.commission,
        back=sheet_url("money", payment.commission),
        title=f"Money in for “{payment}”",
        submit="Note the money",
    )


def the_receipt(pk: int) -> Receipt:
    return get_object_or_404(Receipt.objects.select_related("stage_payment__commission"), pk=pk)


def note_cleared(request: WorkshopRequest, pk: int) -> HttpResponse:
    receipt = the_receipt(pk)
    today = request.workshop.local_day(request.now)
    form = ClearedForm(request.POST or None, initial={"cleared_on": today})
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.note_cleared(
            receipt=receipt,
            cleared_on=form.cleaned_data["cleared_on"],
            today=today,
            now=request.now,
            actor=request.user,
        ),
        commission=receipt.stage_payment.commission,
        back=sheet_url("money", receipt.stage_payment.commission),
        title="The money has cleared",
        submit="It has cleared",
    )


def remove_receipt(request: WorkshopRequest, pk: int) -> HttpResponse:
    receipt = the_receipt(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_receipt(receipt=receipt, now=request.now, actor=request.user),
        done=sheet_url("money", receipt.stage_payment.commission),
        said="That money is out of the record.",
    )


def contract(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = Contract.objects.filter(commission=commission).select_related("drawing").first()
    variations = list(commission.variations.select_related("step"))
    return render(
        request,
        "jobs/contract.html",
        {
            "commission": commission,
            "contract": found,
            "variations": variations,
            "agreed_days": sum(one.days for one in variations if one.is_agreed),
            "loose_days": sum(one.days for one in variations if one.is_agreed and one.step_id is None),
            "agreed_pence": sum(one.price_pence for one in variations if one.is_agreed),
            "caution": CANCELLATION_CAUTION,
        },
    )


def record_contract(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = Contract.objects.filter(commission=commission).first() or Contract(commission=commission)
    form = ContractForm(request.POST or None, instance=found, commission=commission)
    return answer_sheet_form(
        request,
        form,
        act=lambda: contracts.record_contract(
            contract=form.save(commit=False),
            today=request.workshop.local_day(request.now),
            now=request.now,
            actor=request.user,
        ),
        commission=commission,
        back=sheet_url("contract", commission),
        title="What was agreed",
        submit="Save the contract record",
        lead=CANCELLATION_CAUTION,
    )


def ask_variation(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = VariationForm(request.POST or None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: contracts.ask_variation(
            commission=commission,
            words=form.cleaned_data["words"],
            price_pence=form.cleaned_data["price"],
            days=form.cleaned_data["days"],
            now=request.now,
            actor=request.user,
        ),
        commission=commission,
        back=sheet_url("contract", commission),
        title="Put a variation to the client",
        submit="Note the variation",
    )


def answer_variation(request: WorkshopRequest, pk: int) -> HttpResponse:
    variation = get_object_or_404(Variation.objects.select_related("commission"), pk=pk)
    form = AnswerForm(request.POST or None, variation=variation)
    day_hours = Decimal(str(2 * half_day_hours(request.workshop)))
    return answer_sheet_form(
        request,
        form,
        act=lambda: contracts.answer_variation(
            variation=variation, day_hours=day_hours, now=request.now, actor=request.user, **form.cleaned_data
        ),
        commission=variation.commission,
        back=sheet_url("contract", variation.commission),
        title=f"{variation}: the client’s answer",
        submit="Note the answer",
        lead=f"{variation.words} {money_in_words(variation.price_pence)}, {variation.days} working days.",
    )
