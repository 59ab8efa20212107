"""The lines billed on jobs with their warranty, and the readings of the meters that they count by."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from uuid import UUID

from shopapi.billing.models import InvoiceLine
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceState
from shopapi.billing.rules.warranty import LineMark, MeterHours, WarrantyTerms, not_credited
from shopapi.core.actor import Actor
from shopapi.machines.models import MeterReading


def warranty_terms_of(actor: Actor, job_ids: Collection[UUID]) -> Mapping[UUID, Sequence[WarrantyTerms]]:
    """By job, the terms of its billed lines that state a warranty and were not credited."""
    rows = InvoiceLine.objects.filter(
        shop=actor.shop_id, invoice__job__in=job_ids, invoice__state=InvoiceState.ISSUED
    ).select_related("invoice")
    billed: dict[UUID, list[InvoiceLine]] = defaultdict(list)
    credited: dict[UUID, list[LineMark]] = defaultdict(list)
    for row in rows.order_by("invoice__issued_on", "position", "id"):
        if row.invoice.kind == InvoiceKind.CREDIT_NOTE and row.invoice.credited_id is not None:
            credited[row.invoice.credited_id].append(_mark(row))
        else:
            billed[row.invoice_id].append(row)
    found: dict[UUID, list[WarrantyTerms]] = defaultdict(list)
    for invoice_id, lines in billed.items():
        for index in not_credited([_mark(line) for line in lines], credited[invoice_id]):
            line, invoice = lines[index], lines[index].invoice
            if invoice.job_id is None or invoice.issued_on is None:
                continue
            if line.warranty_days is not None or line.warranty_hours is not None:
                terms = WarrantyTerms(invoice.issued_on, line.warranty_days, line.warranty_hours)
                found[invoice.job_id].append(terms)
    return found


def _mark(line: InvoiceLine) -> LineMark:
    return LineMark(line.position, line.kind, line.quote_line_id, line.need_id)


def meters_of(actor: Actor, machine_ids: Collection[UUID]) -> Mapping[UUID, Sequence[MeterHours]]:
    """The readings of the hour meters by machine, in the order in which they were noted."""
    rows = MeterReading.objects.filter(shop=actor.shop_id, machine__in=machine_ids).order_by("created_at", "id")
    found: dict[UUID, list[MeterHours]] = defaultdict(list)
    for row in rows:
        found[row.machine_id].append(MeterHours(row.segment, row.hours, row.read_on))
    return found
