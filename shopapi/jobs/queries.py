"""Reads of jobs, and the one search over customers, machines and jobs."""

from dataclasses import dataclass
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.customers.rules.customer import digits_of
from shopapi.jobs.models import Finding, Job, SafetyAcknowledgement
from shopapi.jobs.rules import Decision, FindingRank, open_safety

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


def findings(actor: Actor) -> QuerySet[Finding]:
    return Finding.objects.filter(shop=actor.shop_id)


def acknowledgements_of(shop_id: UUID, job_id: UUID) -> QuerySet[SafetyAcknowledgement]:
    """What the customer of a job was told of its safety findings and wants left, oldest first."""
    found = SafetyAcknowledgement.objects.filter(shop=shop_id, finding__job=job_id, finding__decided=Decision.DECLINED)
    return found.order_by("acknowledged_at", "id")


def open_safety_words(actor: Actor, job_id: UUID) -> list[str]:
    """What keeps a job from being ready: the words of its open safety findings, oldest first."""
    found = findings(actor).filter(job=job_id, rank=FindingRank.SAFETY).order_by("created_at", "id")
    return [
        each.words
        for each in found.prefetch_related("acknowledgements")
        if open_safety(
            FindingRank(each.rank),
            Decision(each.decided),
            each.words,
            {known.finding_words for known in each.acknowledgements.all()},
        )
    ]


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
    with connection.cursor() as cursor:
        cursor.execute(SEARCH, values)
        return [Hit(*row) for row in cursor.fetchall()]
