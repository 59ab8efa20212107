"""Tickets of jobs: made as PDF, and written to the customer as a link."""

from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.commands import command
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.dispatch.models import Printout
from shopapi.dispatch.rules.schemas.printout import TicketPrint, TicketSend
from shopapi.dispatch.services.printouts import request_printout
from shopapi.jobs.models import Job
from shopapi.notices.services.notices import post_notice


@command(needs=Permission.WORK_JOBS, creates_row=True, rest_name="ticket")
def print_ticket(*, actor: Actor, data: TicketPrint) -> Printout:
    """Request the ticket of a job."""
    return _request(actor, data.id, row_for(Job, actor, data.job_id, field="job_id"))


@command(needs=Permission.MESSAGE, creates_row=True, rest_name="send-ticket")
def send_ticket(*, actor: Actor, data: TicketSend) -> Printout:
    """Request the ticket of a job and write its link to the customer.

    Where this server cannot send over the channel, the message waits for a member to send it.
    """
    job = row_for(Job, actor, data.job_id, field="job_id")
    printout = _request(actor, data.id, job)
    shop, customer = shop_of(actor), job.customer
    name = data.name.strip() or customer.person or customer.name
    post_notice(
        actor=actor,
        channel=data.channel,
        address=data.address,
        name=name,
        template="machine_received",
        values={
            "customer": name,
            "shop": shop.name,
            "machine": job.machine.kind,
            "job": str(job),
            "link": {"resolver": "ticket", "id": printout.id},
        },
        about=("job", job.id),
        dedupe_key=f"machine_received:{printout.id}",
        language=customer.language,
    )
    return printout


def _request(actor: Actor, printout_id: UUID, job: Job) -> Printout:
    refuse_known_id(Printout, printout_id)
    return request_printout(actor, Printout(id=printout_id, shop_id=actor.shop_id, kind="ticket", job=job))
