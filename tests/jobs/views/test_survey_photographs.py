"""Photographs of a survey, wall by wall, on the survey's own page."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Photograph, Room, Survey
from tests.factories import TODAY, make_commission
from tests.jobs.views.sheets_cast import a_commission, picture_bytes, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return a_commission()


def a_survey(commission):
    return Survey.objects.create(room=Room.objects.create(commission=commission, name="Study"), taken_on=TODAY)


def send(commission, survey, wall):
    url = reverse("add_photographs", args=[commission.number]) + f"?purpose=survey&survey={survey.pk}&wall={wall}"
    file = SimpleUploadedFile("wall.jpg", picture_bytes())
    return signed_in(commission).post(
        url, {"pictures": [file], "purpose": "survey", "survey": survey.pk, "wall": wall, "words": "damp at the foot"}
    )


def test_a_photograph_stands_under_its_wall_and_takes_the_surveys_room(commission):
    survey = a_survey(commission)
    answer = send(commission, survey, "back")
    assert answer["Location"] == survey.get_absolute_url()
    photograph = Photograph.objects.get()
    assert (photograph.survey, photograph.wall, photograph.room) == (survey, "back", survey.room)
    page = signed_in(commission).get(survey.get_absolute_url()).content.decode()
    assert page.index("<h3>Back wall</h3>") < page.index("damp at the foot")
    assert "Back wall (1)" in page


def test_a_survey_of_another_commission_is_no_choice(commission):
    other = a_survey(make_commission(maker=commission.maker))
    answer = send(commission, other, "back")
    assert answer.status_code == 422
    assert not Photograph.objects.exists()
