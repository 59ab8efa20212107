"""English sentences of jobs."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "finding_in_use": "A quote or a later visit speaks of this finding; leave it.",
    "bad_query": "Say what to look for, in 1 to {longest_query} characters.",
    "machine_of_another_customer": "This machine belongs to another customer.",
    "job_number_not_given": "No job has this number now, so there is nothing to exchange.",
    "site_of_another_customer": "This site belongs to another customer.",
    "stage_not_next": "A job in “{before}” does not go to “{stage}”.",
}
