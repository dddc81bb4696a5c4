from __future__ import annotations

from django.db import models

from jobs.models import Commission


def words(label: str, length: int = 300) -> models.CharField:
    return models.CharField(label, max_length=length, blank=True)


class FittedFacts(models.Model):
    """What the handover pack says beside finishes, doors and shelves. Blank prints "not recorded".

    Guarantee, insurer and complaints take the workshop's own words where blank (`Workshop.guarantee_period`, ...).
    """

    commission = models.OneToOneField(Commission, on_delete=models.CASCADE, related_name="fitted_facts")
    # 1 Your furniture
    opens = words("what opens")
    stays_shut = words("what is fixed and stays shut")
    lifts_out = words("what lifts out: plinths, access panels")
    sizes_as_fitted = words("main sizes as fitted")
    # 5 Loads
    drawer_load = words("what each drawer may carry")
    rail_load = words("what each hanging rail may carry")
    # 6 Safety
    wall_fixings = words("how it is fixed to the wall, and where")
    lights_by = words("who fitted and tested lights and electrics", 160)
    driver_place = words("where drivers and switches are", 160)
    # 7 Adjusting a door
    hinges = words("hinge: kind and where its screws are", 200)
    # 9 Materials and hardware
    boards = words("boards: kind, thickness, emission class")
    solid_wood = words("solid wood and veneer")
    runners = words("drawer runners", 200)
    handles = words("handles and locks", 200)
    glass = words("glass", 200)
    lights = words("lights and drivers", 200)
    spare_parts = words("spare parts left with the client", 200)
    # 10 Hidden things
    pipes = words("pipes, and how to reach them")
    cables = words("cables, sockets and junction boxes")
    stopcocks = words("stopcocks and meters")
    studs = words("studs, battens and fixings")
    # 11, 12, 14, 16
    signed_by = words("signed at handover by", 120)
    signed_on = models.DateField("signed on", null=True, blank=True)
    guarantee_period = words("guarantee: how long", 120)
    guarantee_covers = words("guarantee: what it covers")
    guarantee_excludes = words("guarantee: what it does not cover")
    guarantee_response = words("guarantee: how soon we answer", 160)
    taking_down = words("order of taking it down")
    spare_keys = words("spare keys: how many, not where", 160)
    drawing_issue = words("drawing issue", 80)
    insurer = words("insurer", 160)
    complaints = words("where a complaint goes that we cannot settle", 200)

    class Meta:
        verbose_name_plural = "fitted facts"
