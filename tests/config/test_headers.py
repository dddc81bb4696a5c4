"""Headers and cookies of every page, and of the settings as they are on a server with https."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from config.first_run import private_text
from jobs.models import AccessCode
from jobs.roles import URLS, May
from tests.addresses import addresses
from tests.factories import make_access, make_commission, make_maker, make_visit, make_workshop

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def answers(db):
    """Every address, as a maker and signed out."""
    make_workshop()
    maker = make_maker()
    commission = make_commission(maker=maker)
    make_visit(commission)
    make_access(commission)
    browser = Browser()
    browser.force_login(maker)
    found = {}
    for name, address in addresses(number=commission.number, pk=commission.pk).items():
        if name != "account_logout":
            found[f"{name} signed in"] = browser.get(address)
        found[f"{name} signed out"] = Browser().get(address)
    assert sum(answer.status_code == 200 for answer in found.values()) > 40
    return found


def directives(policy: str) -> dict[str, list[str]]:
    return {part.split()[0]: part.split()[1:] for part in policy.split(";") if part.strip()}


def carries_the_policies(answers):
    """ASVS 5.0 3.4.1 to 3.4.8; nothing inline without the nonce, nothing from elsewhere, framed by nobody."""
    for name, answer in answers.items():
        policy = directives(answer["Content-Security-Policy"])
        assert policy["default-src"] == ["'self'"], name
        assert policy["object-src"] == policy["base-uri"] == policy["frame-ancestors"] == ["'none'"], name
        assert policy["form-action"] == ["'self'"], name
        for kind in ("script-src", "style-src"):
            assert not {"'unsafe-inline'", "'unsafe-eval'", "*", "https:", "http:", "data:"} & set(policy[kind]), name
        assert answer["X-Content-Type-Options"] == "nosniff", name
        assert answer["X-Frame-Options"] == "DENY", name
        assert answer["Referrer-Policy"] == "same-origin", name
        assert answer["Cross-Origin-Opener-Policy"] == "same-origin", name
        assert answer["Cross-Origin-Resource-Policy"] == "same-origin", name
        assert "noindex" in answer["X-Robots-Tag"], name
        # Labels of pieces are read through the camera on the phone's page of the site day, and nowhere else.
        may_see = "camera=(self)" if name.startswith("site_phone signed in") else "camera=()"
        for feature in (may_see, "microphone=()", "geolocation=()", "payment=()", "usb=()"):
            assert feature in answer["Permissions-Policy"], name


def is_stored_nowhere(answers):
    for name, answer in answers.items():
        assert "no-store" in answer["Cache-Control"], name


def runs_nothing_inline_without_its_nonce(answers):
    """No inline script or style, no event attribute, no javascript: address; a data block is not run."""
    for name, answer in answers.items():
        if answer.streaming or "html" not in answer.get("Content-Type", ""):
            continue
        page = answer.content.decode()
        for tag in re.findall(r"<(?:script|style)\b[^>]*>", page):
            assert "src=" in tag or "nonce=" in tag or "application/json" in tag, (name, tag)
        assert not re.search(r"<[^>]+\son[a-z]+=", page), name
        assert "javascript:" not in page and not re.search(r"<[^>]+\sstyle=", page), name


def fetches_nothing_from_elsewhere(answers):
    for name, answer in answers.items():
        if answer.streaming or "html" not in answer.get("Content-Type", ""):
            continue
        for found in re.findall(
            r'<(?:script|link|img|iframe|form)\b[^>]*?(?:src|href|action)="([^"]*)"', answer.content.decode()
        ):
            assert not found.startswith(("http:", "https:", "//")) or found.startswith("http://testserver/"), (
                name,
                found,
            )


def test_every_answer_of_every_address(answers):
    carries_the_policies(answers)
    is_stored_nowhere(answers)
    runs_nothing_inline_without_its_nonce(answers)
    fetches_nothing_from_elsewhere(answers)


def test_get_and_head_change_nothing_for_who_is_not_signed_in(db):
    make_workshop()
    writes = []
    for name, address in addresses().items():
        if URLS[name] != May.ANYONE:
            continue
        for method in ("get", "head"):
            with CaptureQueriesContext(connection) as queries:
                getattr(Browser(), method)(address)
            writes += [
                (name, query["sql"][:80])
                for query in queries
                if query["sql"].startswith(("INSERT", "UPDATE", "DELETE"))
                and "django_session" not in query["sql"]
                and "shared_cache" not in query["sql"]
            ]
    assert writes == []


def test_the_referrer_policy_lets_our_own_forms_through():
    """With no-referrer Django's own check of the origin refuses the page's forms (seen in Chromium)."""
    assert settings.SECURE_REFERRER_POLICY != "no-referrer"


@pytest.fixture(scope="module")
def on_a_server(tmp_path_factory):
    """run(code or arguments, **environment) in a fresh interpreter with the settings of a real server."""
    keys = dict(re.findall(r"^(SECRET_KEY|FIELD_KEYS)=(.*)$", private_text(""), re.M))

    def run(*arguments, **changed):
        kept = {name: value for name, value in os.environ.items() if name in ("PATH", "HOME", "LANG")}
        environment = kept | keys | {
            "SHUTLINE_VAR": str(tmp_path_factory.mktemp("var")),
            "PUBLIC_URL": "https://shutline.example.org",
            "TRUSTED_PROXIES": "1",
        } | changed  # fmt: skip
        return subprocess.run(
            [sys.executable, *arguments], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=150
        )

    return run


NAMES = [
    "SESSION_COOKIE_SECURE", "SESSION_COOKIE_HTTPONLY", "SESSION_COOKIE_SAMESITE", "SESSION_COOKIE_NAME",
    "CSRF_COOKIE_SECURE", "CSRF_COOKIE_NAME", "WALL_COOKIE_NAME", "SECURE_SSL_REDIRECT", "SECURE_HSTS_SECONDS",
    "SECURE_HSTS_INCLUDE_SUBDOMAINS", "DEBUG", "ALLOWED_HOSTS", "CSRF_TRUSTED_ORIGINS",
    "MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN", "MFA_WEBAUTHN_USER_VERIFICATION", "ALLAUTH_TRUSTED_PROXY_COUNT",
    "PASSWORD_HASHERS",
]  # fmt: skip


def test_cookies_and_transport_on_a_server(on_a_server):
    code = (
        "import json; from config import settings as s; from django.conf import global_settings as g; "
        f"print(json.dumps({{n: getattr(s, n, getattr(g, n, None)) for n in {NAMES!r}}}))"
    )
    ran = on_a_server("-c", code)
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert found["SESSION_COOKIE_SECURE"] and found["CSRF_COOKIE_SECURE"] and found["SESSION_COOKIE_HTTPONLY"]
    assert found["SESSION_COOKIE_SAMESITE"] == "Lax"
    for name in ("SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME", "WALL_COOKIE_NAME"):
        assert found[name].startswith("__Host-")  # ASVS 5.0 3.3.1, 3.3.3
    assert found["SECURE_SSL_REDIRECT"] and found["SECURE_HSTS_SECONDS"] >= 31_536_000  # ASVS 5.0 3.4.1
    assert found["SECURE_HSTS_INCLUDE_SUBDOMAINS"] and not found["DEBUG"]
    assert found["ALLOWED_HOSTS"] == ["shutline.example.org"]
    assert found["CSRF_TRUSTED_ORIGINS"] == ["https://shutline.example.org"]
    assert found["MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN"] is False
    assert found["MFA_WEBAUTHN_USER_VERIFICATION"] == "required"
    assert found["ALLAUTH_TRUSTED_PROXY_COUNT"] == 1
    assert "PBKDF2" in found["PASSWORD_HASHERS"][0]


def test_the_deployment_check_finds_nothing(on_a_server):
    ran = on_a_server("manage.py", "check", "--deploy", "--fail-level", "WARNING")
    assert ran.returncode == 0, ran.stderr
    assert "no issues" in ran.stdout


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"DEBUG": "True"}, "DEBUG is on"),
        ({"SECRET_KEY": "django-insecure-" + "abcdefghij" * 5}, "published default"),
        ({"SECRET_KEY": "short"}, "too short"),
        ({"SECRET_KEY": ""}, "SECRET_KEY is not set"),
        ({"FIELD_KEYS": ""}, "FIELD_KEYS is not set"),
        ({"FIELD_KEYS": "dGVzdHRlc3R0ZXN0dGVzdHRlc3R0ZXN0dGVzdHRlc3Q="}, "published key of the test run"),
        ({"EXTRA_HOSTS": "*"}, "EXTRA_HOSTS"),
        ({"TRUSTED_PROXIES": "-1"}, "TRUSTED_PROXIES"),
        ({"TRUSTED_PROXIES": "two"}, "TRUSTED_PROXIES"),
    ],
)
def test_a_server_does_not_start_on_what_would_let_others_in(on_a_server, changed, words):
    ran = on_a_server("manage.py", "check", **changed)
    assert ran.returncode != 0 and words in ran.stderr and "ImproperlyConfigured" in ran.stderr


def test_a_shown_page_of_a_code_is_never_an_address(db):
    """ASVS 5.0 14.2.1: nothing secret in an address; a code's address holds its row, not the code."""
    assert AccessCode._meta.pk.get_internal_type() == "UUIDField"
    assert reverse("reveal_code", args=["00000000-0000-4000-8000-000000000000"]).count("/") == 4
