"""The map of a circuit: what hangs on what, where it is, and how long it takes to get there."""

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from diagnostics.querysets import CircuitMapQuerySet
from shared.fields import ExactDecimalField

KEY = RegexValidator(
    r"^[A-Za-z][A-Za-z0-9_.-]{0,63}$",
    "Begin with a letter; use letters, digits, dots, dashes and underscores only.",
)
_HASH = RegexValidator(r"^[0-9a-f]{64}$")
_MINUTES = [MinValueValidator(0), MaxValueValidator(999)]


class CircuitMap(models.Model):
    """One circuit of one platform. Searches keep the problem as it stood when they began."""

    class Topology(models.TextChoices):
        BUS = "bus", "shared signal line"
        FEED = "feed", "feed from a supply to a load"
        DRAW = "draw", "supply tree under fuses"

    class State(models.TextChoices):
        CURRENT = "current", "in use"
        RETIRED = "retired", "not used any more"

    title = models.CharField(max_length=150)
    topology = models.CharField("kind of circuit", max_length=4, choices=Topology)
    lines = models.PositiveSmallIntegerField("wires of the line", default=1)
    make = models.CharField(max_length=64, blank=True)
    model = models.CharField(max_length=64, blank=True)
    year_from = models.IntegerField("from year", null=True, blank=True)
    year_to = models.IntegerField("to year", null=True, blank=True)
    engine = models.CharField(max_length=64, blank=True)
    system = models.CharField(max_length=64, blank=True, db_index=True)
    note = models.TextField(blank=True)
    state = models.CharField(max_length=7, choices=State, default=State.CURRENT)
    made_by = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    changed_by = models.CharField(max_length=64, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CircuitMapQuerySet.as_manager()

    class Meta:
        ordering = ["make", "model", "title", "pk"]
        indexes = [models.Index(fields=["make", "model", "state"], name="circuit_map_by_model")]
        constraints = [
            models.CheckConstraint(name="circuit_map_has_title", condition=~Q(title="")),
            models.CheckConstraint(
                name="circuit_map_topology_known", condition=Q(topology__in=["bus", "feed", "draw"])
            ),
            models.CheckConstraint(
                name="circuit_map_state_known", condition=Q(state__in=["current", "retired"])
            ),
            models.CheckConstraint(
                name="circuit_map_two_lines_are_a_bus",
                condition=Q(lines=1) | Q(lines=2, topology="bus"),
                violation_error_message="Only a shared signal line can have two wires.",
            ),
            models.CheckConstraint(
                name="circuit_map_years_in_order",
                condition=Q(year_from__isnull=True)
                | Q(year_to__isnull=True)
                | Q(year_from__lte=F("year_to")),
                violation_error_message="The first year comes before the last.",
            ),
        ]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("circuit", args=[self.pk])

    @property
    def platform(self):
        """Make, model, years and engine in one line."""
        years = "-".join(dict.fromkeys(str(year) for year in (self.year_from, self.year_to) if year))
        return " ".join(filter(None, [self.make, self.model, years, self.engine])) or "any vehicle"


class OnMap(models.Model):
    """A part of one map under the id by which tests and readings name it."""

    key = models.CharField("id", max_length=64, validators=[KEY])
    label = models.CharField("name", max_length=100, blank=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["circuit_map", "position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["circuit_map", "key"],
                name="%(class)s_key_once",
                violation_error_message="Another part of this map has this id.",
            ),
            models.CheckConstraint(name="%(class)s_has_key", condition=~Q(key="")),
        ]

    def __str__(self):
        return self.label or self.key


class MapZone(OnMap):
    """What must be opened to get at places, paid once for all that lie behind it."""

    circuit_map = models.ForeignKey(CircuitMap, on_delete=models.CASCADE, related_name="zones")
    inside = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="holds")
    open_minutes = ExactDecimalField("minutes to open", validators=_MINUTES, default=0)
    close_minutes = ExactDecimalField("minutes to refit", validators=_MINUTES, default=0)
    general_minutes = ExactDecimalField("minutes before any were learned", null=True, blank=True)
    learned_count = models.PositiveIntegerField("times they were learned from", default=0)
    where = models.CharField("where it is", max_length=200, blank=True)

    class Meta(OnMap.Meta):
        constraints = [
            *OnMap.Meta.constraints,
            models.CheckConstraint(
                name="map_zone_minutes_not_negative",
                condition=Q(open_minutes__gte=0, close_minutes__gte=0),
            ),
            models.CheckConstraint(
                name="map_zone_not_inside_itself",
                condition=Q(inside__isnull=True) | ~Q(inside=F("pk")),
                violation_error_message="A zone does not lie inside itself.",
            ),
        ]


class MapPlace(OnMap):
    """A unit, hub, splice, connector, fuse, load, ground or end resistor."""

    class Kind(models.TextChoices):
        HUB = "hub", "hub"
        MODULE = "module", "control unit"
        SOURCE = "source", "supply"
        FUSE = "fuse", "fuse"
        SPLICE = "splice", "splice"
        SWITCH = "switch", "switch or relay"
        CONNECTOR = "connector", "connector"
        LOAD = "load", "load"
        GROUND = "ground", "ground point"
        TESTER_PORT = "tester_port", "test socket"
        END_RESISTOR = "end_resistor", "end resistor"

    class Fitted(models.TextChoices):
        VERIFIED = "verified", "seen on the vehicle"
        ASSUMED = "assumed", "on the drawing only"
        NO = "no", "not fitted"

    circuit_map = models.ForeignKey(CircuitMap, on_delete=models.CASCADE, related_name="places")
    kind = models.CharField(max_length=12, choices=Kind)
    zone = models.ForeignKey(MapZone, null=True, blank=True, on_delete=models.PROTECT, related_name="places")
    where = models.CharField("where it is", max_length=200, blank=True)
    note = models.TextField(blank=True)
    fitted = models.CharField(max_length=8, choices=Fitted, default=Fitted.VERIFIED)

    class Meta(OnMap.Meta):
        constraints = [
            *OnMap.Meta.constraints,
            models.CheckConstraint(
                name="map_place_kind_known",
                condition=Q(
                    kind__in=[
                        "hub",
                        "module",
                        "source",
                        "fuse",
                        "splice",
                        "switch",
                        "connector",
                        "load",
                        "ground",
                        "tester_port",
                        "end_resistor",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="map_place_fitted_known", condition=Q(fitted__in=["verified", "assumed", "no"])
            ),
        ]


class MapWire(OnMap):
    """A branch between two places; `start` is the end at which it can be parted."""

    circuit_map = models.ForeignKey(CircuitMap, on_delete=models.CASCADE, related_name="wires")
    start = models.ForeignKey(MapPlace, on_delete=models.CASCADE, related_name="wires_from")
    end = models.ForeignKey(MapPlace, on_delete=models.CASCADE, related_name="wires_to")
    zone = models.ForeignKey(MapZone, null=True, blank=True, on_delete=models.PROTECT, related_name="wires")
    is_removable = models.BooleanField("can be parted there", default=False)

    class Meta(OnMap.Meta):
        constraints = [
            *OnMap.Meta.constraints,
            models.CheckConstraint(
                name="map_wire_joins_two_places",
                condition=~Q(start=F("end")),
                violation_error_message="A wire joins two different places.",
            ),
        ]


class MapTest(models.Model):
    """What the shop knows better about one test that follows from the map."""

    circuit_map = models.ForeignKey(CircuitMap, on_delete=models.CASCADE, related_name="tests")
    key = models.CharField("id", max_length=64, validators=[KEY])
    minutes = ExactDecimalField(null=True, blank=True, validators=_MINUTES)
    learned_count = models.PositiveIntegerField("times they were learned from", default=0)
    caution = models.TextField(blank=True)
    is_offered = models.BooleanField("is proposed", default=True)

    class Meta:
        ordering = ["circuit_map", "key"]
        constraints = [
            models.UniqueConstraint(fields=["circuit_map", "key"], name="map_test_key_once"),
            models.CheckConstraint(
                name="map_test_minutes_above_zero", condition=Q(minutes__isnull=True) | Q(minutes__gt=0)
            ),
        ]

    def __str__(self):
        return self.key


class MapPhoto(models.Model):
    """A photo of one place, drawn anew; the files stand on the shelf of photos under their hashes."""

    place = models.ForeignKey(MapPlace, on_delete=models.CASCADE, related_name="photos")
    caption = models.CharField("in words", max_length=200)
    sha256 = models.CharField(max_length=64, validators=[_HASH], db_index=True)
    small_sha256 = models.CharField(max_length=64, validators=[_HASH])
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    entered_by = models.CharField(max_length=64)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["place", "entered_at", "pk"]
        constraints = [models.CheckConstraint(name="map_photo_has_caption", condition=~Q(caption=""))]

    def __str__(self):
        return self.caption
