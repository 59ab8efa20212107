"""English sentences of jobs."""

from collections.abc import Mapping

STAGES: Mapping[str, str] = {
    "intake": "Checked in",
    "diagnosis": "Diagnosis",
    "repair": "Repair",
    "testing": "Testing",
    "ready": "Ready",
    "returned": "Returned",
    "closed": "Closed",
    "cancelled": "Cancelled",
}

MESSAGES: Mapping[str, str] = {
    # The stages as screens call them, by the placeholders that name one.
    **{f"{name}.{stage}": words for name in ("before", "stage") for stage, words in STAGES.items()},
    "finding_in_use": (
        "A quote, a later visit or a customer\u2019s acknowledgement refers to this finding, so it can't be deleted."
    ),
    "bad_query": "Enter what to search for, 1 to {longest_query} characters.",
    "machine_of_another_customer": "This machine belongs to another customer.",
    "job_number_not_given": "No job has this number now, so there is nothing to exchange.",
    "findings.between": "; ",
    "safety_open": (
        "Not ready yet, someone can get hurt: {findings}. Get the customer\u2019s answer on a quote that repairs it,"
        " or record on the finding that the customer knows and wants it left."
    ),
    "site_of_another_customer": "This place belongs to another customer.",
    "stage_not_next": "A job can't go from “{before}” to “{stage}”.",
}
