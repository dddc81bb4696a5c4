"""The way from kerb to room, and what the carry along it needs to know."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models

from jobs.models.commission import Commission
from jobs.models.room import Room


class PointKind(models.TextChoices):
    DOOR = "door", "Door"
    CORRIDOR = "corridor", "Corridor"
    TURN = "turn", "Turn"
    LANDING = "landing", "Landing"
    STAIRS = "stairs", "Stairs"
    LIFT = "lift", "Lift"
    CEILING = "ceiling", "Ceiling of the room"


class FloorKind(models.TextChoices):
    WOOL = "wool", "Wool carpet"
    CARPET = "carpet", "Other carpet"
    TIMBER = "timber", "Timber"
    STONE = "stone", "Stone or tile"
    VINYL = "vinyl", "Vinyl"


class RoutePlace(models.Model):
    """A place on the way in. Which sizes it has hangs on its kind; whole mm, blank where the kind has none.

    `width_mm` is the way in at a turn and the car of a lift; `height_mm` the clear height or headroom. Without a room
    it lies on the way to every room.
    """

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="route_places")
    room = models.ForeignKey(Room, on_delete=models.CASCADE, null=True, blank=True, related_name="route_places")
    position = models.PositiveSmallIntegerField("place in the order", default=1)
    kind = models.CharField("what", max_length=10, choices=PointKind.choices)
    name = models.CharField("name", max_length=60)
    width_mm = models.PositiveIntegerField(null=True, blank=True)
    width_out_mm = models.PositiveIntegerField(null=True, blank=True)
    depth_mm = models.PositiveIntegerField(null=True, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    door_width_mm = models.PositiveIntegerField(null=True, blank=True)
    door_height_mm = models.PositiveIntegerField(null=True, blank=True)
    treads = models.PositiveSmallIntegerField(null=True, blank=True)
    rise_mm = models.PositiveIntegerField(null=True, blank=True)
    going_mm = models.PositiveIntegerField(null=True, blank=True)
    cover_mm = models.PositiveIntegerField("floor to cover, mm", null=True, blank=True)
    corners = models.PositiveSmallIntegerField("corners to guard", default=0)
    floor = models.CharField("floor", max_length=8, choices=FloorKind.choices, blank=True)

    class Meta:
        ordering = ["commission", "position", "pk"]

    def __str__(self) -> str:
        return self.name


class Van(models.Model):
    """A van of ours or one we hire: payload and clear load space."""

    name = models.CharField("name", max_length=60, unique=True)
    payload_kg = models.PositiveIntegerField("payload, kg", validators=[MaxValueValidator(5000)])
    length_mm = models.PositiveIntegerField("load length, mm")
    width_mm = models.PositiveIntegerField("load width, mm")
    height_mm = models.PositiveIntegerField("load height, mm")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class CarryPlan(models.Model):
    """What the carry of one commission is reckoned with, besides its pieces, its route and its access slot."""

    class Figures(models.TextChoices):
        MEN = "men", "Men's figures"
        WOMEN = "women", "Women's figures"

    commission = models.OneToOneField(Commission, on_delete=models.CASCADE, related_name="carry_plan")
    people = models.PositiveSmallIntegerField("people planned", default=2)
    figures = models.CharField("lifting filter", max_length=6, choices=Figures.choices, default=Figures.MEN)
    carry_m = models.PositiveSmallIntegerField("metres carried without a rest", default=0)
    drive_minutes = models.PositiveSmallIntegerField("drive, minutes", null=True, blank=True)
    parking_minutes = models.PositiveSmallIntegerField("parking and unloading the first piece, minutes", default=15)
    set_up_minutes = models.PositiveSmallIntegerField("covering floors and stairs, minutes", default=10)
    van = models.ForeignKey(Van, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    people_and_kit_kg = models.PositiveIntegerField("people and kit in the van, kg", default=0)


class CarryRecord(models.Model):
    """How long a past carry really took; from three of as many floors on, our minutes a trip come from these."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="carry_records")
    done_on = models.DateField("done on")
    minutes = models.PositiveSmallIntegerField("minutes in all")
    trips = models.PositiveSmallIntegerField("trips")
    floors = models.PositiveSmallIntegerField("floors climbed", default=0)

    class Meta:
        ordering = ["done_on", "pk"]
