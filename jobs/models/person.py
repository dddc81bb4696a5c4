from __future__ import annotations

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models.kinds import Role


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str | None = None, password: str | None = None, **fields: Any) -> Person:
        person = self.model(email=self.normalize_email(email) or None, **fields)
        # No password means no login until the person is invited.
        person.set_password(password) if password else person.set_unusable_password()
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(email__iexact=username)


class Person(AbstractBaseUser):
    """Somebody of the workshop. A helper who never signs in is a person without e-mail or password."""

    name = models.CharField("name", max_length=120)
    email = models.EmailField("e-mail", null=True, blank=True, unique=True)
    phone = PhoneNumberField("telephone", blank=True)
    role = models.CharField("role", max_length=12, choices=Role.choices, default=Role.MAKER)
    # A maker may; others only where they have been given them, one by one.
    may_see_codes = models.BooleanField("may see access codes", default=False)
    # Values of Skill; empty means all of them: who does not tell people apart need not fill it in.
    skills = models.JSONField("what they do", default=list, blank=True)
    is_active = models.BooleanField("works here", default=True)

    objects = PersonManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                name="person_email_once",
                violation_error_code="email",
                violation_error_message="Somebody else of the workshop has this e-mail address: give another one.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def initials(self) -> str:
        return "".join(word[0] for word in self.name.split()[:3]).upper()
