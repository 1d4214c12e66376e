from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q

ROLES = ("advisor", "technician", "owner")


class StaffMember(AbstractUser):
    """A person who signs in. `signs_as` is the name that stands on records; it is never reused."""

    signs_as = models.CharField("signs as", max_length=64, unique=True)
    is_advisor = models.BooleanField("service advisor", default=False)
    is_technician = models.BooleanField("technician", default=False)
    is_owner = models.BooleanField("owner", default=False)
    location = models.ForeignKey("shop.Location", null=True, on_delete=models.PROTECT, related_name="staff")
    wants_report = models.BooleanField(
        "monthly report by e-mail", default=True, help_text="Goes to owners with an e-mail address."
    )

    REQUIRED_FIELDS = ["signs_as"]

    class Meta:
        ordering = ["signs_as"]
        constraints = [
            models.CheckConstraint(
                name="staff_signs_as_something",
                condition=~Q(signs_as=""),
                violation_error_message="Write the name that stands on records.",
            ),
        ]

    def __str__(self):
        return self.signs_as

    def has_role(self, name):
        return name in ROLES and getattr(self, f"is_{name}")

    @property
    def roles(self):
        return [name for name in ROLES if self.has_role(name)]
