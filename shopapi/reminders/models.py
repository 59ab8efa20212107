"""What the shop is to come back to."""

from django.db import models

from shopapi.accounts.models import ShopOwned
from shopapi.reminders.rules import FollowUpState, Kind


class FollowUp(ShopOwned):
    """One matter to come back to, made by the sweep and settled by it when the matter is.

    A matter fires once: kind, what it is about, and the occasion (a promised date, the day of the last movement) are
    unique for good. `facts` are told in `why`; `until` puts it off.
    """

    kind = models.CharField(max_length=16, choices=[(k.value, k.value) for k in Kind])
    about_kind = models.CharField(max_length=20)
    about_id = models.UUIDField()
    job_id = models.UUIDField(null=True)
    customer_id = models.UUIDField(null=True)
    member_id = models.UUIDField(null=True)
    occasion = models.CharField(max_length=40, default="", blank=True)
    due_on = models.DateField()
    until = models.DateField(null=True)
    facts = models.JSONField(default=dict)
    state = models.CharField(
        max_length=7, default=FollowUpState.OPEN, choices=[(s.value, s.value) for s in FollowUpState]
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["shop", "kind", "about_id", "occasion"], name="one_follow_up_per_matter_and_occasion"
            ),
        )
        indexes = (
            # What the sweep looks at.
            models.Index(fields=["shop", "kind"], name="follow_up_open", condition=models.Q(state="open")),
        )

    def __str__(self) -> str:
        return f"{self.kind} due {self.due_on}"
