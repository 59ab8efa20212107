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
        "A quote, a part, a later visit, a safety item or a customer\u2019s acknowledgement refers to this finding, so"
        " it can't be deleted."
    ),
    "comeback_in_circle": (
        "Job {number} is itself a comeback of this job. Choose an earlier job of this machine, or none."
    ),
    "comeback_of_another_machine": (
        "Job {number} was on another machine. Choose an earlier job of this machine, or none."
    ),
    "comeback_of_itself": "A job can't be a comeback of itself. Choose an earlier job of this machine, or none.",
    "comeback_of_later_job": (
        "Job {number} was opened after this one. Choose an earlier job of this machine, or none."
    ),
    "item_finding_of_another_job": "This finding belongs to another job.",
    "bad_query": "Enter what to search for, 1 to {longest_query} characters.",
    "machine_of_another_customer": "This machine belongs to another customer.",
    "job_number_not_given": "No job has this number now, so there is nothing to exchange.",
    "findings.between": "; ",
    "safety_open": (
        "Not ready yet, someone can get hurt: {findings}. Get the customer\u2019s answer on a quote that repairs it,"
        " or record on the finding that the customer knows and wants it left."
    ),
    "safety_item_in_use": (
        "This safety item was tried, a part for it was searched for, or the customer was told of it, so it can't be"
        " deleted."
    ),
    "safety_items_open": "Not ready yet, someone can get hurt: {findings}.",
    "safety_left.undecided": (
        "{words} (repair it and record that it works, or record that the customer knows and wants it left)"
    ),
    "safety_left.unacknowledged": (
        "{words} (repair it and record that it works, or record that the customer knows and wants it left)"
    ),
    "safety_left.unrepaired": "{words} (the customer agreed: repair it and record that it works)",
    "safety_left.no_bypass": (
        "{words} (repair it and record that it works: this shop hands nothing back with a bypassed or missing safety"
        " device)"
    ),
    "site_of_another_customer": "This place belongs to another customer.",
    "stage_not_next": "A job can't go from “{before}” to “{stage}”.",
}
