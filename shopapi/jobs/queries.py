"""Reads of jobs, and the one search over customers, machines and jobs."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import Reason
from shopapi.core.replica import reading_connection
from shopapi.core.schema import parse
from shopapi.customers.rules.customer import digits_of
from shopapi.jobs.models import Finding, Job, SafetyAcknowledgement, SafetyItem
from shopapi.jobs.rules import (
    Decision,
    DeviceCondition,
    DisclosedItem,
    Disclosure,
    FindingRank,
    ItemState,
    OpenSafety,
    TrialRow,
    is_repaired,
    open_safety,
)

MOST_HITS = 30
FEWEST_DIGITS = 3
# Share of a word's trigrams that must be there: lets one letter in five be wrong, keeps chance hits out.
NEAR_ENOUGH = 0.45
SEARCH = """
WITH said AS (
    SELECT 'customer' AS kind, id, name AS title, concat_ws(' ', person, phone, email) AS detail,
        concat_ws(' ', name, person, email) AS text, phone_digits AS digits
    FROM customers_customer WHERE shop_id = %(shop)s
    UNION ALL
    SELECT 'machine', id, concat_ws(' ', kind, make, model), concat_ws(' ', serial, tag),
        concat_ws(' ', kind, make, model, serial, engine_make, engine_model, engine_serial, tag), ''
    FROM machines_machine WHERE shop_id = %(shop)s
    UNION ALL
    SELECT 'job', j.id, coalesce(j.number, j.mark), concat_ws(' ', c.name, m.kind, m.make, m.model),
        concat_ws(' ', j.number, j.mark), ''
    FROM jobs_job j
        JOIN customers_customer c ON c.shop_id = j.shop_id AND c.id = j.customer_id
        JOIN machines_machine m ON m.shop_id = j.shop_id AND m.id = j.machine_id
    WHERE j.shop_id = %(shop)s
), scored AS (
    SELECT kind, id, title, detail,
        (%(digits)s <> '' AND %(digits)s = ANY (string_to_array(digits, ' '))) AS is_number, CASE
        WHEN %(digits)s <> '' AND strpos(digits, %(digits)s) > 0 THEN 1.0
        WHEN strpos(lower(text), lower(%(q)s)) > 0 THEN 1.0
        ELSE strict_word_similarity(lower(%(q)s), lower(text))
    END AS score
    FROM said
)
SELECT kind, id, title, detail, score FROM scored WHERE score >= %(near)s
ORDER BY is_number DESC, score DESC, title, id LIMIT %(most)s
"""


def jobs(actor: Actor) -> QuerySet[Job]:
    return Job.objects.filter(shop=actor.shop_id)


def jobs_behind(job: Job) -> list[UUID]:
    """The jobs of which a job is a comeback, the nearest first: the first job of all is the last."""
    found: list[UUID] = []
    behind = job.comeback_of_id
    while behind is not None and behind not in found:
        found.append(behind)
        behind = Job.objects.filter(shop=job.shop_id, id=behind).values_list("comeback_of", flat=True).first()
    return found


def findings(actor: Actor) -> QuerySet[Finding]:
    return Finding.objects.filter(shop=actor.shop_id)


def left_findings(
    shop_id: UUID, job_id: UUID, *, at: datetime
) -> list[tuple[SafetyAcknowledgement, list[DisclosedItem]]]:
    """What the customer of a job was told by an instant and wants left, oldest first: each with its safety items.

    Without what was repaired by then: a finding all of whose safety items were is left out.
    """
    found = SafetyAcknowledgement.objects.filter(
        shop=shop_id, finding__job=job_id, finding__decided=Decision.DECLINED, acknowledged_at__lte=at
    )
    items = SafetyItem.objects.filter(shop=shop_id, finding__job=job_id)
    unrepaired = {item.id for item in items if not is_repaired(trials_by(item, at))}
    left = [
        (told, [item for item in disclosed_items(told) if item.item_id in unrepaired])
        for told in found.order_by("acknowledged_at", "id")
    ]
    return [(told, devices) for told, devices in left if devices or not told.items]


def trials_by(item: SafetyItem, at: datetime) -> list[TrialRow]:
    """The trials of a safety item up to an instant."""
    trials = [parse(TrialRow, trial) for trial in item.trials]
    return [trial for trial in trials if trial.tried_at <= at]


def disclosed_item(item: SafetyItem) -> DisclosedItem:
    """A safety item as a customer is told of it now."""
    return DisclosedItem(
        item_id=item.id,
        device=item.device,
        condition=DeviceCondition(item.condition),
        protection_lost=item.protection_lost,
    )


def disclosed_items(acknowledgement: SafetyAcknowledgement) -> list[DisclosedItem]:
    """The safety items that a customer was told of."""
    return [parse(DisclosedItem, item) for item in acknowledgement.items]


@dataclass(frozen=True)
class OpenFinding:
    """A finding that keeps its job from being ready: why, and whether it has safety items."""

    words: str
    why: OpenSafety
    has_items: bool

    @property
    def way_out(self) -> Reason:
        return Reason(f"safety_left.{self.why}", {"words": self.words})


def open_safety_findings(actor: Actor, job_id: UUID) -> list[OpenFinding]:
    """What keeps a job from being ready, oldest first."""
    no_bypass = shop_of(actor).no_bypass
    counts = Q(rank=FindingRank.SAFETY) | Q(id__in=SafetyItem.objects.filter(job=job_id).values("finding"))
    found = findings(actor).filter(counts, job=job_id).order_by("created_at", "id")
    open_findings = []
    for each in found.prefetch_related("acknowledgements", "safety_items"):
        items = [ItemState(disclosed_item(item), item.repaired) for item in each.safety_items.all()]
        told = [Disclosure(known.finding_words, disclosed_items(known)) for known in each.acknowledgements.all()]
        why = open_safety(FindingRank(each.rank), Decision(each.decided), each.words, told, items, no_bypass=no_bypass)
        if why is not None:
            open_findings.append(OpenFinding(each.words, why, bool(items)))
    return open_findings


@dataclass(frozen=True)
class Hit:
    """One result: its kind, title and detail. `score` is from 0 to 1."""

    kind: str
    id: UUID
    title: str
    detail: str
    score: float


def search(actor: Actor, q: str) -> list[Hit]:
    """Customers, machines and jobs by name, phone, serial or number, with typing errors; an exact phone comes first."""
    digits = digits_of(q)
    values: dict[str, UUID | str | float] = {
        "shop": actor.shop_id,
        "q": q.strip(),
        "digits": digits if len(digits) >= FEWEST_DIGITS else "",
        "near": NEAR_ENOUGH,
        "most": MOST_HITS,
    }
    with reading_connection().cursor() as cursor:
        cursor.execute(SEARCH, values)
        return [Hit(*row) for row in cursor.fetchall()]
