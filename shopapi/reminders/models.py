"""Follow-ups, and when services of machines have to be looked at."""

from django.db import models

from shopapi.accounts.models import ShopOwned
from shopapi.core.enums import choices_of
from shopapi.reminders.rules import FollowUpKind, FollowUpState


class FollowUp(ShopOwned):
    """One matter to come back to. The sweep creates it when due and closes it when the matter is over.

    A matter gets one follow-up for good: kind, the row it is about, and the occasion (a promised date, the day of the
    last movement) are unique. `facts`: values for its reason; `until`: put off until that day.
    """

    kind = models.CharField(max_length=16, choices=choices_of(FollowUpKind))
    about_kind = models.CharField(max_length=20)
    about_id = models.UUIDField()
    job_id = models.UUIDField(null=True)
    customer_id = models.UUIDField(null=True)
    member_id = models.UUIDField(null=True)
    occasion = models.CharField(max_length=40, default="", blank=True)
    due_on = models.DateField()
    until = models.DateField(null=True)
    facts = models.JSONField(default=dict)
    state = models.CharField(max_length=7, default=FollowUpState.OPEN, choices=choices_of(FollowUpState))

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["shop", "kind", "about_id", "occasion"], name="one_follow_up_per_matter_and_occasion"
            ),
        )
        indexes = (
            # The sweep reads open ones by kind.
            models.Index(fields=["shop", "kind"], name="follow_up_open", condition=models.Q(state="open")),
        )

    def __str__(self) -> str:
        return f"{self.kind} due {self.due_on}"


class ServiceLook(ShopOwned):
    """What the sweep found of the services of one machine, and the day from which it has to look again.

    A row for each machine of which a service was noted. Triggers of the database make `look_on` a day of the past
    whenever something changes that a forecast is from: a reading of a machine of the same kind, a service, a sheet, the
    machine, its customer, the shop's calendar.
    """

    machine_id = models.UUIDField()
    look_on = models.DateField()
    matters = models.JSONField(default=list)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "machine_id"], name="one_service_look_per_machine"),)
        indexes = (
            # What is to be looked at by a day.
            models.Index(fields=["shop", "look_on"], name="service_look_by_day"),
            # What was found.
            models.Index(fields=["shop"], name="service_look_found", condition=~models.Q(matters=[])),
        )

    def __str__(self) -> str:
        return f"{self.machine_id} from {self.look_on}"
