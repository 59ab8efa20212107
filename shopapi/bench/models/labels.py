"""Sheets of labels."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.bench.rules.labels import LabelKind, LabelSheetState
from shopapi.core.enums import choices_of
from shopapi.documents.models import Document
from shopapi.jobs.models import Job


class LabelSheet(ShopOwned):
    """Labels of a job as PDF, made by a worker on request. Its content is of the moment it was made."""

    job = ShopForeignKey(Job, related_name="label_sheets")
    kind = models.CharField(max_length=6, choices=choices_of(LabelKind))
    first = models.PositiveSmallIntegerField(default=1)
    count = models.PositiveSmallIntegerField(default=12)
    state = models.CharField(max_length=7, default="waiting", choices=choices_of(LabelSheetState))
    reason = models.TextField(default="", blank=True)
    document = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="ready_label_sheet_has_a_document",
                condition=~models.Q(state="ready") | models.Q(document__isnull=False),
            ),
        )
