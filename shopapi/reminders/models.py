"""Follow-ups."""

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
