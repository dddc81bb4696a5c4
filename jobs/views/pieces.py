"""Pieces: list, one piece, table in and out, counts, labels."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from jobs.domain import pieces as domain
from jobs.domain.piece_table import COLUMNS, PieceTable, read_pieces, write_pieces
from jobs.forms.pieces import CountForm, PieceForm
from jobs.forms.tables import TableForm
from jobs.labels import leads_to_this_machine_only, piece_url, qr_svg
from jobs.models import Commission, Piece
from jobs.queries.pieces_page import STAGE_COLUMNS, STAGE_WORDS, piece_row, pieces_of, pieces_page, ticks_of
from jobs.queries.route_page import piece_route
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button, answer_form, the_commission
from jobs.views.paper import paper


def the_piece(pk: int) -> Piece:
    pieces = Piece.objects.select_related("commission__client", "room", "finish", "step")
    return get_object_or_404(pieces, pk=pk)


def pieces_url(commission: Commission) -> str:
    return reverse("pieces", args=[commission.number])


def pieces(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    context = {"commission": commission, "labels_lead_nowhere": leads_to_this_machine_only()}
    return render(request, "jobs/pieces.html", {**context, **pieces_page(commission)})


def piece(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Where the code on a label leads."""
    found = the_piece(pk)
    context = {"piece": found, "row": piece_row(found), "report": piece_route(found), "ticks": ticks_of(found)}
    return render(request, "jobs/piece.html", context)


def add_piece(request: WorkshopRequest, number: int) -> HttpResponse:
    return _piece(request, Piece(commission=the_commission(number)), "Add a piece")


def edit_piece(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_piece(pk)
    return _piece(request, found, f"Change {found}")


def _piece(request: WorkshopRequest, target: Piece, title: str) -> HttpResponse:
    commission = target.commission
    form = PieceForm(request.POST or None, instance=target, commission=commission)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_piece(piece=form.save(commit=False), now=request.now, actor=request.user),
        done=pieces_url(commission),
        said=lambda kept: f"{kept} is kept.",
        title=title,
        subtitle=str(commission),
        back=pieces_url(commission),
        submit="Save the piece",
    )


def remove_piece(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = the_piece(pk)
    name, back = str(found), pieces_url(found.commission)
    return answer_button(
        request,
        act=lambda: domain.remove_piece(piece=found, now=request.now, actor=request.user),
        done=back,
        said=f"{name} is out of this commission.",
    )


def piece_table(request: WorkshopRequest, number: int) -> HttpResponse:
    """A table is checked first and shown; only the button under it adds, all or nothing."""
    commission = the_commission(number)
    if request.method != "POST":
        return _table_page(request, commission, TableForm())
    form = TableForm(request.POST, request.FILES)
    if not form.is_valid():
        return _table_page(request, commission, form, status=422)
    data = form.table_bytes()
    table = read_pieces(commission, data)
    if table.complaints:
        return _table_page(request, commission, form, table=table, status=422)
    if "sure" in request.POST:
        try:
            made = domain.add_pieces(commission=commission, pieces=table.pieces, now=request.now, actor=request.user)
        except Refusal as refusal:
            add_refusal(form, refusal)
            return _table_page(request, commission, form, status=422)
        messages.success(request, f"{len(made)} pieces were added.")
        return redirect(pieces_url(commission))
    return _table_page(request, commission, form, table=table, text=data.decode("utf-8-sig"))


def _table_page(
    request: WorkshopRequest,
    commission: Commission,
    form: TableForm,
    *,
    table: PieceTable | None = None,
    text: str = "",
    status: int = 200,
) -> HttpResponse:
    rows = [piece_row(one) for one in table.pieces] if table else []
    context = {"commission": commission, "form": form, "columns": COLUMNS, "table": table, "rows": rows, "text": text}
    return render(request, "jobs/piece_table.html", context, status=status)


def pieces_csv(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    answer = HttpResponse(write_pieces(pieces_of(commission)), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="pieces-{commission.number}.csv"'
    return answer


def count_pieces(request: WorkshopRequest, number: int, stage: str) -> HttpResponse:
    if stage not in STAGE_COLUMNS:
        raise Http404
    commission = the_commission(number)
    found = pieces_of(commission)
    data = request.POST if request.method == "POST" else None
    form = CountForm(data, pieces=found, column=STAGE_COLUMNS[stage])
    return answer_form(
        request,
        form,
        act=lambda: domain.count_pieces(
            commission=commission,
            stage=stage,
            present=form.cleaned_data["present"],
            now=request.now,
            actor=request.user,
        ),
        done=pieces_url(commission),
        said=lambda counted: f"{STAGE_WORDS[stage]}: {counted[0]} of {counted[1]} counted.",
        title=f"Count: {STAGE_WORDS[stage].lower()}",
        subtitle=str(commission),
        back=pieces_url(commission),
        submit="Keep the count",
    )


def tick_piece(request: WorkshopRequest, pk: int, stage: str) -> HttpResponse:
    """The button on a piece's page; `taken_back` in the form takes the tick back."""
    found = the_piece(pk)
    return answer_button(
        request,
        act=lambda: domain.tick_piece(
            piece=found, stage=stage, present="taken_back" not in request.POST, now=request.now, actor=request.user
        ),
        done=found.get_absolute_url(),
        said=f"{found}: noted.",
    )


def labels_pdf(request: WorkshopRequest, number: int) -> HttpResponse:
    """Every piece's label, fourteen to an A4 sheet."""
    commission = the_commission(number)
    context = {"commission": commission, "labels": [_label(one) for one in pieces_of(commission)], "single": False}
    name = f"labels-{commission.number}.pdf"
    return paper(request, "pdf/labels.html", context, name=name, back=pieces_url(commission))


def label_pdf(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One piece's label on a page of its own size."""
    found = the_piece(pk)
    context = {"commission": found.commission, "labels": [_label(found)], "single": True}
    name = f"label-{found.commission.number}-{found.label}.pdf"
    return paper(request, "pdf/labels.html", context, name=name, back=found.get_absolute_url())


def _label(found: Piece) -> dict[str, object]:
    return {"row": piece_row(found), "qr": qr_svg(piece_url(found.pk))}
