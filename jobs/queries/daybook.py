"""The lines of the daybook in words. Other apps add their acts with `words_for`."""

from __future__ import annotations

from jobs.models import DaybookLine, StepKind, VisitKind

WORDS: dict[str, str] = {
    "open_commission": "Commission opened",
    "edit_commission": "Commission changed",
    "close_commission": "Commission closed",
    "reopen_commission": "Commission opened again",
    "put_on_hold": "Put on hold",
    "take_off_hold": "Taken off hold",
    "start_step": "Started",
    "start_past_gate": "Started, past a gate",
    "finish_step": "Finished",
    "reopen_step": "Taken back",
    "edit_step": "Step changed",
    "add_step": "Step added",
    "remove_step": "Step taken out",
    "book_visit": "Visit booked",
    "keep_to_arrange": "Visit to arrange",
    "move_visit": "Visit moved",
    "cancel_visit": "Visit cancelled",
    "finish_visit": "Visit took place",
    "arrange_access": "Access arranged",
    "save_room": "Room noted",
    "record_survey": "Room measured",
    "sign_off_remeasure": "Re-measure signed off",
    "save_feature": "Noted what is on a wall",
    "remove_feature": "Taken off a wall again",
    "keep_run": "Run placed in the room",
    "declare_nothing_changed": "Client: nothing has changed since the survey",
    "declare_changed": "Client: something has changed since the survey",
    "note_work_since": "Work in the house since the survey",
    "remove_work_since": "Work since the survey taken out",
    "add_piece": "Piece added",
    "edit_piece": "Piece changed",
    "add_pieces": "Pieces added from a table",
    "remove_piece": "Piece taken out",
    "count_pieces": "Pieces counted",
    "save_route_place": "Place on the way in noted",
    "move_route_place": "Order of the way in changed",
    "remove_route_place": "Place on the way in taken out",
    "plan_carry": "Carry planned",
    "record_carry": "Carry noted",
    "record_finish": "Finish recorded",
    "remove_finish": "Finish taken out",
    "keep_code": "Code kept",
    "reveal_code": "Code looked at",
    "delete_code": "Code deleted",
    "delete_codes": "Codes deleted",
    "add_person": "Person added",
    "edit_person": "Person changed",
    "invite_person": "Person invited",
    "accept_invitation": "Invitation accepted",
    "add_wall_screen": "Wall screen added",
    "pair_wall_screen": "Wall screen paired",
    "revoke_wall_screen": "Wall screen taken out",
    "add_subcontractor": "Subcontractor added",
    "edit_subcontractor": "Subcontractor changed",
    "close_subcontractor": "Subcontractor shut",
    "open_subcontractor": "Subcontractor not shut after all",
}


def words_for(act: str, words: str) -> None:
    """Name an act that another app writes into the daybook."""
    WORDS[act] = words


def in_words(line: DaybookLine) -> str:
    """Finished: Doors made"""
    words = WORDS.get(line.act, line.act.replace("_", " ").capitalize())
    kind = line.facts.get("kind")
    if kind in StepKind.values and "step" in line.facts:
        return f"{words}: {StepKind(kind).label}"
    if kind in VisitKind.values:
        return f"{words}: {VisitKind(kind).label}"
    return words
