"""English sentences of jobs."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "finding_in_use": "A quote, a later visit or a customer\u2019s acknowledgement speaks of this finding; leave it.",
    "bad_query": "Say what to look for, in 1 to {longest_query} characters.",
    "machine_of_another_customer": "This machine belongs to another customer.",
    "job_number_not_given": "No job has this number now, so there is nothing to exchange.",
    "findings.between": "; ",
    "safety_open": (
        "Not ready yet, someone can get hurt: {findings}. Get the customer\u2019s answer on a quote that repairs it,"
        " or record on the finding that the customer knows and wants it left."
    ),
    "site_of_another_customer": "This site belongs to another customer.",
    "stage_not_next": "A job in “{before}” does not go to “{stage}”.",
}
