"""Price books, quotes and their lines, requests to customers, and the evidence of decisions."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models.functions import Now

from shopapi.accounts.models import Device, Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import ERASED, personal
from shopapi.documents.models import Document
from shopapi.jobs.models import Finding, Job
from shopapi.jobs.rules import Decision, FindingRank
from shopapi.quotes.rules.approval_requests import LinkChannel
from shopapi.quotes.rules.confirmed import PricePart
from shopapi.quotes.rules.lines import LineKind
from shopapi.quotes.rules.schemas import How, PdfState, QuoteKind
from shopapi.quotes.rules.states import QuoteState


def no_discount() -> dict[str, None]:
    """The JSON of no discount."""
    return {"percent": None, "minor": None}


class PriceBook(ShopOwned):
    """What a shop charges; one row per shop, with the shop's id. `prices` are `rules.ShopPrices` as JSON.

    `confirmed`: the parts that a person has entered or looked at. No quote is offered before all are.
    """

    prices = models.JSONField()
    confirmed = ArrayField(models.CharField(max_length=20, choices=choices_of(PricePart)), db_default=[], blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="price_book_has_the_id_of_its_shop", condition=models.Q(id=models.F("shop"))),
        )


class IntakeTerms(ShopOwned):
    """The evidence of what a customer was told and accepted when a machine was taken in. Append-only.

    In minor units of the shop's currency; null: that was not told.
    """

    append_only = True

    job = ShopForeignKey(Job, related_name="intake_terms")
    diagnosis_fee_minor = models.PositiveBigIntegerField(null=True)
    diagnosis_credited = models.BooleanField(default=False)
    storage_free_days = models.PositiveSmallIntegerField(null=True)
    storage_per_day_minor = models.PositiveBigIntegerField(null=True)
    storage_cap_minor = models.PositiveBigIntegerField(null=True)
    accepted_by_name = personal(models.CharField(max_length=120), instead=ERASED)
    accepted_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="storage_is_told_with_its_days",
                condition=models.Q(storage_free_days__isnull=True, storage_per_day_minor__isnull=True)
                | models.Q(storage_free_days__isnull=False, storage_per_day_minor__isnull=False),
            ),
        )


class Quote(ShopOwned):
    """One revision of a quote. Once offered, its lines and basis never change; a change is a new revision.

    `basis` is the price book it is priced by; `shown` are the names shown to the customer. The number is assigned at
    the first offer and shared by all revisions.
    """

    job = ShopForeignKey(Job, related_name="quotes")
    number = models.CharField(max_length=20, null=True)
    mark = models.CharField(max_length=20, default="", blank=True)
    kind = models.CharField(max_length=5, choices=choices_of(QuoteKind))
    revision = models.PositiveIntegerField(default=1)
    replaces = ShopForeignKey("self", related_name="replaced_by", null=True)
    state = models.CharField(max_length=9, default="draft", choices=choices_of(QuoteState))
    basis = models.JSONField()
    discount = models.JSONField(default=no_discount)
    note = models.TextField(default="", blank=True)
    valid_until = models.DateField(null=True)
    offered_at = models.DateTimeField(null=True)
    offer_digest = models.CharField(max_length=64, null=True)
    shown = models.JSONField(null=True)
    totals = models.JSONField(null=True)
    pdf_state = models.CharField(max_length=7, default="none", choices=choices_of(PdfState))
    pdf_reason = models.TextField(null=True)
    pdf = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "number", "revision"], name="one_quote_per_number_and_revision"),
            models.CheckConstraint(
                name="offered_quote_has_time_digest_and_number",
                condition=models.Q(state__in=["draft", "withdrawn"])
                | models.Q(offered_at__isnull=False, offer_digest__isnull=False, number__isnull=False),
            ),
        )
        # Offered quotes that may lapse.
        indexes = (models.Index(fields=["shop", "state", "valid_until"], name="quote_by_state"),)

    def __str__(self) -> str:
        return f"{self.number or self.mark} revision {self.revision}"


class LineFigures(ShopOwned):
    """The figures of `rules.QuoteLine` as columns: of a line of a quote, and of other documents with the same amounts.

    `asked_unit_minor` is the unit price computed from cost and mark-up, shown to members who may not see costs.
    """

    position = models.IntegerField()
    kind = models.CharField(max_length=8, choices=choices_of(LineKind))
    rank = models.CharField(max_length=8, choices=choices_of(FindingRank))
    words = models.TextField()
    included = models.TextField(default="", blank=True)
    found = models.TextField(default="", blank=True)
    work = models.CharField(max_length=40, null=True)
    operation = models.CharField(max_length=60, null=True)
    part_number = models.CharField(max_length=60, null=True)
    hours = models.DecimalField(max_digits=10, decimal_places=6, null=True)
    rate_key = models.CharField(max_length=40, null=True)
    member_id = models.UUIDField(null=True)
    quantity = models.DecimalField(max_digits=11, decimal_places=6, null=True)
    unit_cost_minor = models.BigIntegerField(null=True)
    unit_price_minor = models.BigIntegerField(null=True)
    asked_unit_minor = models.BigIntegerField(null=True)
    core_minor = models.BigIntegerField(null=True)
    distance = models.DecimalField(max_digits=11, decimal_places=6, null=True)
    zone_key = models.CharField(max_length=40, null=True)
    fixed_minor = models.BigIntegerField(null=True)
    discount_percent = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    discount_minor = models.BigIntegerField(null=True)
    later_minor = models.BigIntegerField(null=True)
    taxed = models.BooleanField(null=True)
    belongs_to_id = models.UUIDField(null=True)
    apart = models.BooleanField(null=True)
    agreed = models.BooleanField(null=True)

    class Meta:
        abstract = True


class Line(LineFigures):
    """One line of a quote."""

    quote = ShopForeignKey(Quote, related_name="lines")
    finding = ShopForeignKey(Finding, related_name="+", null=True)
    decided = models.CharField(max_length=8, default=Decision.OPEN, choices=choices_of(Decision))

    class Meta:
        # The lines of one quote, in their order.
        indexes = (models.Index(fields=["shop", "quote", "position"], name="line_by_quote"),)


class Signature(ShopOwned):
    """The strokes of a signature, with the digest of what was signed. Never changed."""

    append_only = True

    strokes = models.JSONField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    signer_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)


class ApprovalLink(ShopOwned):
    """A request to a customer to decide one revision of a quote through a secret address.

    The secret is not stored: it is derived from the key of this installation and the id (`services.links`); only its
    SHA-256 is. `digest` is of the text and amounts that the request is about.
    """

    quote = ShopForeignKey(Quote, related_name="links")
    revision = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    channel = models.CharField(max_length=5, choices=choices_of(LinkChannel))
    address = personal(models.CharField(max_length=254, default="", blank=True))
    name = personal(models.CharField(max_length=120, default="", blank=True), instead=ERASED)
    token_hash = models.CharField(max_length=64)
    expires_at = models.DateTimeField()
    opened_count = models.PositiveIntegerField(default=0)
    opened_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)
    created_by = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["token_hash"], name="one_link_per_secret"),)
        # The requests about one quote.
        indexes = (models.Index(fields=["shop", "quote"], name="link_by_quote"),)


class CustomerQuestion(ShopOwned):
    """A question from a customer through a link, open until a member has called back."""

    quote = ShopForeignKey(Quote, related_name="questions")
    link = ShopForeignKey(ApprovalLink, related_name="questions")
    name = personal(models.CharField(max_length=120, default="", blank=True), instead=ERASED)
    words = personal(models.TextField(), instead=ERASED)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    answered_by = ShopForeignKey(Member, related_name="+", null=True)


class Approval(ShopOwned):
    """The evidence of one decision. Never changed: a later decision is another row.

    For a decision through a link: `link` is the request, `user_agent` the browser, `network` the IP network.
    """

    append_only = True

    quote = ShopForeignKey(Quote, related_name="approvals")
    revision = models.PositiveIntegerField()
    how = models.CharField(max_length=9, choices=choices_of(How))
    decided_by_name = models.CharField(max_length=120)
    decided_at = models.DateTimeField()
    zone = models.CharField(max_length=60)
    received_at = models.DateTimeField(db_default=Now())
    digest = models.CharField(max_length=64)
    matches = models.BooleanField()
    accepted_ids = ArrayField(models.UUIDField())
    declined_ids = ArrayField(models.UUIDField())
    accepted_total_minor = models.BigIntegerField(null=True)
    accepted_labor_minor = models.BigIntegerField(null=True)
    accepted_parts_minor = models.BigIntegerField(null=True)
    number_called = models.CharField(max_length=120, default="", blank=True)
    conditions = models.TextField(default="", blank=True)
    note = models.TextField(default="", blank=True)
    signature = ShopForeignKey(Signature, related_name="+", null=True)
    member = ShopForeignKey(Member, related_name="+", null=True)
    device = ShopForeignKey(Device, related_name="+", null=True)
    link = ShopForeignKey(ApprovalLink, related_name="approvals", null=True)
    user_agent = models.CharField(max_length=400, default="", blank=True)
    network = models.CharField(max_length=60, default="", blank=True)
