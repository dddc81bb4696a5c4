"""Who may do what. `WHO` says which roles have an ability, `URLS` which ability an address asks.

To add an address: put its URL name into `URLS` under the ability it asks. An address that is not listed is refused
to everybody, with an error that says so; tests/jobs/test_roles.py walks the addresses and names the missing ones.
"""

from __future__ import annotations

import enum
from typing import Any

from django.core.exceptions import ImproperlyConfigured

from jobs.models.kinds import Role


class May(enum.StrEnum):
    """An ability. `ANYONE` needs no sign-in: the view itself asks for a link, a code or a password."""

    ANYONE = "anyone"
    NOBODY = "nobody"  # addresses of the sign-in library that a workshop of invited people has no use for
    ACCOUNT = "own password, second factor, passkeys"
    BOARD = "see the job board and where it stands"
    TICK = "start, finish and take back steps"
    SITE = "see site days, visits, pieces; note own hours"
    DESK = "see clients, contacts, commissions, messages; change them"
    MONEY = "see money"
    CODES = "keep and see access codes"
    WORKSHOP = "change the workshop, its people and its wall screens"


# The role of a paired wall screen; it is no person and has no row among them.
WALL = "wall"

_PEOPLE = frozenset({Role.MAKER, Role.OFFICE, Role.HELPER})
_DESK = frozenset({Role.MAKER, Role.OFFICE})
WHO: dict[May, frozenset[str]] = {
    May.ACCOUNT: _PEOPLE,
    May.BOARD: _PEOPLE | {WALL},
    May.TICK: _PEOPLE | {WALL},
    May.SITE: _PEOPLE,
    May.DESK: _DESK,
    May.MONEY: _DESK,
    May.CODES: frozenset({Role.MAKER}),  # and whoever has been given them: Person.may_see_codes
    May.WORKSHOP: frozenset({Role.MAKER}),
    May.NOBODY: frozenset(),
}

# URL name -> the ability it asks. One line a name, in the order of the groups.
URLS: dict[str, May] = {
    # no sign-in: client pages, feeds, invitations, pairing; each view guards itself
    "feed": May.ANYONE,
    "healthz": May.ANYONE,  # says whether the worker lives, nothing else
    "account_login": May.ANYONE,
    "account_logout": May.ANYONE,
    "account_inactive": May.ANYONE,
    "account_signup": May.ANYONE,  # says that sign-up is closed
    "account_reset_password": May.ANYONE,
    "account_reset_password_done": May.ANYONE,
    "account_reset_password_from_key": May.ANYONE,
    "account_reset_password_from_key_done": May.ANYONE,
    "mfa_authenticate": May.ANYONE,
    "mfa_login_webauthn": May.ANYONE,
    "accept_invitation": May.ANYONE,
    "pair_wall_screen": May.ANYONE,
    "manifest": May.ANYONE,  # names, addresses and colours of the program itself
    "service_worker": May.ANYONE,
    "client_entry": May.ANYONE,
    "client_new_link": May.ANYONE,
    "client_link_asked": May.ANYONE,
    "client_left": May.ANYONE,
    # the client's own page: each view asks for the client's cookie (jobs.client_access)
    "client_page": May.ANYONE,
    "client_leave": May.ANYONE,
    "client_done": May.ANYONE,
    "client_undo": May.ANYONE,
    "client_declare": May.ANYONE,
    "client_access": May.ANYONE,
    "client_away": May.ANYONE,
    "client_away_remove": May.ANYONE,
    "client_pick": May.ANYONE,
    "client_approve": May.ANYONE,
    "client_drawing": May.ANYONE,
    "client_photograph": May.ANYONE,
    "client_photograph_small": May.ANYONE,
    "client_agree_snag": May.ANYONE,
    "client_return": May.ANYONE,
    "client_pack": May.ANYONE,
    "client_pack_pdf": May.ANYONE,
    "client_permissions": May.ANYONE,
    "client_permission_withdraw": May.ANYONE,
    # nobody: the address is given by the workshop, not by the person
    "account_email": May.NOBODY,
    "account_email_verification_sent": May.NOBODY,
    "account_confirm_email": May.NOBODY,
    "account_confirm_login_code": May.NOBODY,
    # one's own sign-in
    "account_reauthenticate": May.ACCOUNT,
    "account_change_password": May.ACCOUNT,
    "account_set_password": May.ACCOUNT,
    "mfa_index": May.ACCOUNT,
    "mfa_reauthenticate": May.ACCOUNT,
    "mfa_activate_totp": May.ACCOUNT,
    "mfa_deactivate_totp": May.ACCOUNT,
    "mfa_view_recovery_codes": May.ACCOUNT,
    "mfa_generate_recovery_codes": May.ACCOUNT,
    "mfa_download_recovery_codes": May.ACCOUNT,
    "mfa_list_webauthn": May.ACCOUNT,
    "mfa_add_webauthn": May.ACCOUNT,
    "mfa_reauthenticate_webauthn": May.ACCOUNT,
    "mfa_remove_webauthn": May.ACCOUNT,
    "mfa_edit_webauthn": May.ACCOUNT,
    # the wall: no money, no codes, no contacts on these
    "job_board": May.BOARD,
    "wall_board": May.BOARD,
    "where_it_stands": May.BOARD,
    "wall_sizes": May.BOARD,
    "wall_screen": May.BOARD,
    "wall_start": May.TICK,
    "wall_done": May.TICK,
    "wall_undo": May.TICK,
    "tick_steps": May.BOARD,
    "start_step": May.TICK,
    "finish_step": May.TICK,
    "reopen_step": May.TICK,
    # on site and at the bench: no money, no codes
    "the_day": May.SITE,
    "search": May.SITE,  # each source asks for the ability of what it finds
    "more": May.SITE,
    "finish_visit": May.SITE,
    "room_light": May.SITE,
    "add_light_note": May.SITE,
    "light_from_photograph": May.SITE,
    "hinge_check": May.SITE,
    "check_door": May.SITE,
    "finish_hinge_check": May.SITE,
    "hinge_sheet_pdf": May.SITE,
    "ask_permission": May.SITE,
    "room": May.SITE,
    "add_survey": May.SITE,
    "survey": May.SITE,
    "edit_survey": May.SITE,
    "add_feature": May.SITE,
    "edit_feature": May.SITE,
    "remove_feature": May.SITE,
    "room_run": May.SITE,
    "pieces": May.SITE,
    "piece": May.SITE,
    "count_pieces": May.SITE,
    "tick_piece": May.SITE,
    "labels_pdf": May.SITE,
    "label_pdf": May.SITE,
    "route": May.SITE,
    "add_route_place": May.SITE,
    "edit_route_place": May.SITE,
    "move_route_place": May.SITE,
    "remove_route_place": May.SITE,
    "carry": May.SITE,
    "record_carry": May.SITE,
    "site_day": May.SITE,
    "site_day_pdf": May.SITE,
    "site_today": May.SITE,
    "site_acts": May.SITE,
    "settle_site_act": May.DESK,
    "site_probe": May.SITE,
    "site_photograph": May.SITE,
    "site_phone": May.SITE,
    "site_form": May.SITE,
    "hours": May.SITE,
    "start_timer": May.SITE,
    "tell_hours": May.SITE,
    "stop_timer": May.SITE,
    "remove_hours": May.SITE,
    "kit": May.SITE,
    "tick_loaded": May.SITE,
    "untick_loaded": May.SITE,
    "snags": May.SITE,
    "note_snag": May.SITE,
    "edit_snag": May.SITE,
    "finish_snag": May.SITE,
    "agree_snag": May.SITE,
    "reopen_snag": May.SITE,
    "photographs": May.SITE,
    "add_photographs": May.SITE,
    "photograph_file": May.SITE,
    "photograph_small": May.SITE,
    "edit_photograph": May.SITE,
    "drawings": May.SITE,
    "drawing_file": May.SITE,
    "parking": May.SITE,
    "client_keys": May.SITE,
    "hand_on_keys": May.SITE,
    # at the desk
    "friday": May.DESK,
    "plan_version": May.DESK,
    "accept_plan": May.DESK,
    "decline_plan": May.DESK,
    "what_would_help": May.DESK,
    "reports": May.DESK,
    "report_file": May.DESK,  # each report asks besides for what its figures are of
    "first_commission": May.DESK,
    "commissions": May.DESK,
    "new_commission": May.DESK,
    "commission": May.DESK,
    "edit_commission": May.DESK,
    "put_on_hold": May.DESK,
    "take_off_hold": May.DESK,
    "close_commission": May.DESK,
    "reopen_commission": May.DESK,
    "arrange_access": May.DESK,
    "add_room": May.DESK,
    "edit_room": May.DESK,
    "add_finish": May.DESK,
    "edit_finish": May.DESK,
    "remove_finish": May.DESK,
    "add_step": May.DESK,
    "edit_step": May.DESK,
    "remove_step": May.DESK,
    "book_visit": May.DESK,
    "move_visit": May.DESK,
    "cancel_visit": May.DESK,
    "clients": May.DESK,
    "new_client": May.DESK,
    "client": May.DESK,
    "edit_client": May.DESK,
    "add_client_away": May.DESK,
    "export_client": May.DESK,
    "remove_client_away": May.DESK,
    "calendar_days": May.DESK,
    "add_day": May.DESK,
    "remove_day": May.DESK,
    "messages": May.DESK,
    "message": May.DESK,
    "message_html": May.DESK,
    "letter": May.DESK,
    "letter_pdf": May.DESK,
    "retry_message": May.DESK,
    "make_call": May.DESK,
    "replies": May.DESK,
    "accept_reply": May.DESK,
    "dismiss_reply": May.DESK,
    "feeds": May.DESK,
    "take_back_feed": May.DESK,
    "remove_light_note": May.DESK,
    "hand_over": May.DESK,
    "undo_handover": May.DESK,
    "rebook_return_visit": May.DESK,
    "pack_page": May.DESK,
    "issued_pack": May.DESK,
    "return_visits": May.DESK,
    "other_times": May.DESK,
    "return_wish": May.DESK,
    "return_rounds": May.DESK,
    "take_rounds": May.DESK,
    "journeys": May.DESK,
    "remove_journey": May.DESK,
    "fitted": May.DESK,
    "add_door": May.DESK,
    "take_run_doors": May.DESK,
    "edit_door": May.DESK,
    "remove_door": May.DESK,
    "add_shelf": May.DESK,
    "edit_shelf": May.DESK,
    "remove_shelf": May.DESK,
    "pack_facts": May.DESK,
    "issue_pack": May.DESK,
    "add_future_work": May.DESK,
    "edit_future_work": May.DESK,
    "settle_future_work": May.DESK,
    "sign_off_survey": May.DESK,
    "changes": May.DESK,
    "add_declaration": May.DESK,
    "add_work_since": May.DESK,
    "remove_work_since": May.DESK,
    "add_piece": May.DESK,
    "edit_piece": May.DESK,
    "remove_piece": May.DESK,
    "piece_table": May.DESK,
    "pieces_csv": May.DESK,
    "plan_carry": May.DESK,
    "vans": May.DESK,
    "new_van": May.DESK,
    "edit_van": May.DESK,
    "subcontractors": May.DESK,
    "new_subcontractor": May.DESK,
    "subcontractor": May.DESK,
    "edit_subcontractor": May.DESK,
    "add_subcontractor_closure": May.DESK,
    "remove_subcontractor_closure": May.DESK,
    "client_links": May.DESK,
    "revoke_link": May.DESK,
    "offer_slot": May.DESK,
    "withdraw_offer": May.DESK,
    # whoever takes the client's call may write a code down; seeing it again is another matter
    "keep_code": May.DESK,
    "delete_code": May.DESK,
    "consignments": May.DESK,
    "new_consignment": May.DESK,
    "consignment": May.DESK,
    "consignment_note": May.DESK,
    "edit_consignment": May.DESK,
    "add_consignment_item": May.DESK,
    "edit_consignment_item": May.DESK,
    "remove_consignment_item": May.DESK,
    "send_consignment": May.DESK,
    "receive_consignment": May.DESK,
    "start_redo": May.DESK,
    "use_turnaround": May.DESK,
    "all_hours": May.DESK,
    "add_load_item": May.DESK,
    "take_kit_list": May.DESK,
    "edit_load_item": May.DESK,
    "remove_load_item": May.DESK,
    "kit_lists": May.DESK,
    "new_kit_list": May.DESK,
    "add_kit_list_item": May.DESK,
    "edit_kit_list_item": May.DESK,
    "remove_kit_list_item": May.DESK,
    "remove_photograph": May.DESK,
    "add_drawing": May.DESK,
    "approve_drawing": May.DESK,
    "plan_parking": May.DESK,
    "edit_parking": May.DESK,
    "remove_parking": May.DESK,
    "parking_rules": May.DESK,
    "new_parking_rule": May.DESK,
    "edit_parking_rule": May.DESK,
    "take_keys": May.DESK,
    "give_back_keys": May.DESK,
    "import_csv": May.DESK,
    # money: payments, prices, contracts
    "money": May.MONEY,
    "agree_stage_payments": May.MONEY,
    "add_stage_payment": May.MONEY,
    "edit_stage_payment": May.MONEY,
    "remove_stage_payment": May.MONEY,
    "note_receipt": May.MONEY,
    "note_cleared": May.MONEY,
    "remove_receipt": May.MONEY,
    "contract": May.MONEY,
    "record_contract": May.MONEY,
    "ask_variation": May.MONEY,
    "answer_variation": May.MONEY,
    # codes: the views ask besides whether a helper goes there, and for a second factor
    "codes": May.CODES,
    "reveal_code": May.CODES,
    # the workshop itself
    "retention": May.WORKSHOP,
    "pack_words": May.WORKSHOP,
    "forget_client": May.WORKSHOP,
    "workshop": May.WORKSHOP,
    "first_hour": May.WORKSHOP,
    "empty_demo": May.WORKSHOP,
    "steps_to_start_from": May.WORKSHOP,
    "rename_template": May.WORKSHOP,
    "add_template_step": May.WORKSHOP,
    "edit_template_step": May.WORKSHOP,
    "remove_template_step": May.WORKSHOP,
    "new_person": May.WORKSHOP,
    "edit_person": May.WORKSHOP,
    "invite_person": May.WORKSHOP,
    "forget_factors": May.WORKSHOP,
    "add_wall_screen": May.WORKSHOP,
    "revoke_wall_screen": May.WORKSHOP,
}


def may(person: Any, what: May | str) -> bool:
    """Whether somebody (a Person, a wall screen, or nobody signed in) has an ability, or may open a URL name.

    Raises:
        ImproperlyConfigured: a URL name that is not listed in `URLS`.
    """
    ability = what if isinstance(what, May) else ability_of(what)
    if ability == May.ANYONE:
        return True
    if not getattr(person, "is_authenticated", False) or not getattr(person, "is_active", False):
        return False
    if ability == May.CODES and getattr(person, "may_see_codes", False):
        return True
    return getattr(person, "role", "") in WHO[ability]


def ability_of(url_name: str) -> May:
    """What an address asks of whoever opens it.

    Raises:
        ImproperlyConfigured: with the line to add.
    """
    try:
        return URLS[url_name]
    except KeyError:
        raise ImproperlyConfigured(
            f"The URL name {url_name!r} is not listed in jobs/roles.py. Add a line to URLS there, as in "
            f'"{url_name}": May.DESK, under the ability it asks (May.ANYONE: no sign-in; May.BOARD: also the wall '
            "screen; May.SITE: also helpers; May.DESK: maker and office; May.MONEY; May.CODES; May.WORKSHOP: makers)."
        ) from None
