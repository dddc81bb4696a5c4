"""A site day and a phone, for the tests of what phones tell."""

from __future__ import annotations

import datetime as dt
import io
import json
from uuid import uuid4

from django.urls import reverse
from django.utils import timezone
from PIL import Image

from jobs.models import StepKind
from tests.factories import make_commission, make_maker, make_workshop
from tests.jobs.site_cast import make_pieces, make_room
from tests.jobs.views.cast import signed_in

# Everything up to the loading of the van is behind the commission, so that no gate stands in the way.
BEHIND = [kind for kind in StepKind if kind not in ("load", "deliver", "fit", "snags", "handover", "return_visit")]


class Phone:
    """Tells acts as the scripts do; the same act can be told again."""

    def __init__(self, person, commission, name="phone-1"):
        self.person, self.commission, self.name = person, commission, name
        self.browser = signed_in(person)

    def act(self, kind, /, *, ago=dt.timedelta(), key=None, **payload):
        return {
            "key": str(key or uuid4()),
            "kind": kind,
            "commission": self.commission.number,
            "payload": {name: str(value) for name, value in payload.items()},
            "happened_at": (timezone.now() - ago).isoformat(),
        }

    def tell(self, *acts):
        return self.post({"device": self.name, "person": self.person.pk, "acts": list(acts)})

    def post(self, body):
        text = body if isinstance(body, (str, bytes)) else json.dumps(body)
        return self.browser.post(reverse("site_acts"), text, content_type="application/json")

    def results(self, *acts):
        answer = self.tell(*acts)
        assert answer.status_code == 200, answer.content
        return [(one["outcome"], one["sentence"]) for one in answer.json()["results"]]

    def part(self, key, offset, data, *, size, purpose="snag", commission=None):
        number = (commission or self.commission).number
        address = reverse("site_photograph", args=[key, offset])
        query = f"?commission={number}&purpose={purpose}&size={size}&taken_at=2026-03-10T09:15:00Z"
        return self.browser.put(address + query, data, content_type="application/octet-stream")


def site_cast():
    """Workshop, maker, commission on its site day with 40 pieces, and the maker's phone."""
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(maker=maker, done=BEHIND, done_at=timezone.now() - dt.timedelta(days=8))
    make_room(commission)
    make_pieces(commission, maker)
    return workshop, maker, commission, Phone(maker, commission)


def jpeg(width_px=320, height_px=240):
    """Noise, so that it does not shrink to nothing."""
    file = io.BytesIO()
    Image.effect_noise((width_px, height_px), 80).convert("RGB").save(file, "JPEG", quality=90)
    return file.getvalue()
