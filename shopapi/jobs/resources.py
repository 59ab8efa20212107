"""The resources of jobs."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.jobs import services
from shopapi.jobs.models import Complaint, Finding, Job, SafetyAcknowledgement, SafetyItem
from shopapi.jobs.rules import JOB_TRANSITIONS, AcknowledgementRow, ComplaintRow, FindingRow, JobRow, SafetyItemRow

RESOURCES = (
    Resource(
        "job",
        Job,
        JobRow,
        reads=Permission.READ,
        filters=("customer_id", "machine_id", "stage", "comeback_of_id"),
        commands=(services.open_job, services.edit_job, services.move_job, services.number_job),
        computed_fields=("opened_at",),
        transitions={"stage": JOB_TRANSITIONS},
        columns=("number", "mark", "customer", "machine", "stage", "promised_on", "opened_at"),
        column_filters=("stage",),
        search=("number", "mark"),
    ),
    Resource(
        "complaint",
        Complaint,
        ComplaintRow,
        reads=Permission.READ,
        filters=("job_id",),
        commands=(services.add_complaint,),
        computed_fields=("taken_by_id",),
        columns=("job", "words", "taken_by", "created_at"),
    ),
    Resource(
        "finding",
        Finding,
        FindingRow,
        reads=Permission.READ,
        filters=("job_id",),
        commands=(services.record_finding, services.edit_finding, services.remove_finding),
        computed_fields=("found_by_id",),
        columns=("job", "words", "rank", "decided", "found_by"),
        column_filters=("rank", "decided"),
    ),
    Resource(
        "safety_item",
        SafetyItem,
        SafetyItemRow,
        reads=Permission.READ,
        filters=("job_id", "machine_id", "finding_id"),
        commands=(
            services.record_safety_item,
            services.edit_safety_item,
            services.note_part_search,
            services.repair_safety_item,
            services.reopen_safety_item,
            services.remove_safety_item,
        ),
        computed_fields=("machine_id", "finding_id", "noted_by_id"),
        columns=("job", "device", "condition", "repaired", "noted_by", "created_at"),
        column_filters=("condition", "repaired"),
    ),
    Resource(
        "safety_acknowledgement",
        SafetyAcknowledgement,
        AcknowledgementRow,
        reads=Permission.READ,
        filters=("finding_id",),
        commands=(services.acknowledge_finding,),
        computed_fields=("member_id",),
        columns=("finding", "acknowledged_by_name", "how", "acknowledged_at", "member"),
        column_filters=("how",),
    ),
)
