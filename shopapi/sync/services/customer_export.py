"""Everything that is kept on one customer, as one ZIP file to hand over on request."""

import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import DomainError
from shopapi.core.feed import lock_shop
from shopapi.core.resources import Resource, all_resources
from shopapi.core.rows import row_for
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.documents.models import Document
from shopapi.documents.services.storage import read_document
from shopapi.files.models import Attachment
from shopapi.files.queries import read_picture, read_voice
from shopapi.sync.services.erasure import keys_to_customer

DATA = "data.json"
# The columns that name the row which a row is about, where no foreign key does.
ABOUT = ("about_id", "entity_id", "subject_id")


def export_customer(*, actor: Actor, customer_id: UUID) -> bytes:
    """The ZIP file: `data.json` holds the rows by kind, as the API shows them, without what a part cost the shop.

    Pictures, voice notes and PDFs are files in it, named after kind and id. What cannot be read is listed under
    `missing` with its reason.

    Raises NotFound. The audit trail records it.
    """
    actor.require(Permission.MANAGE_MEMBERS)
    # The shop's own costs are not the customer's data.
    reader = replace(actor, permissions=actor.permissions - {Permission.SEE_COST})
    with in_shop(actor.shop_id):
        found = _rows(reader, row_for(Customer, reader, customer_id, field="customer_id"))
        shown = {
            resource.kind: [to_json(resource.show(reader, row)) for row in rows] for resource, rows in found if rows
        }
        files = [file for resource, rows in found for row in rows for file in _files(reader, resource.kind, row)]
    # Others of the shop need not wait for its storage.
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        missing = _write_files(archive, files)
        archive.writestr(DATA, json.dumps({"rows": shown, "missing": missing}, indent=1, ensure_ascii=False))
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        record(actor, "customer exported", ("customer", customer_id))
    return written.getvalue()


def _rows(actor: Actor, customer: Customer) -> list[tuple[Resource, list[Any]]]:
    """The customer's rows by resource: those with a way to them, then those that are about one of these."""
    found: list[tuple[Resource, list[Any]]] = []
    ids: set[UUID] = set()
    about = [(resource, column) for resource in all_resources() if (column := _about(resource))]
    for resource in all_resources():
        way = "pk" if resource.model is Customer else "__".join(key.name for key in keys_to_customer(resource.model))
        if way:
            rows = list(resource.rows(actor).filter(**{way: customer.pk}).order_by("pk"))
            found.append((resource, rows))
            ids |= {row.pk for row in rows}
    for resource, column in about:
        if not keys_to_customer(resource.model):
            found.append((resource, list(resource.rows(actor).filter(**{f"{column}__in": ids}).order_by("pk"))))
    return found


def _about(resource: Resource) -> str:
    """The column that names the row which a row of this kind is about; empty if there is none."""
    columns = {column.name for column in resource.model._meta.concrete_fields}
    return next((name for name in ABOUT if name in columns), "")


def _write_files(archive: zipfile.ZipFile, files: Iterable[tuple[str, Callable[[], bytes]]]) -> list[dict[str, str]]:
    """Write the files; returns those that cannot be read, with the reason."""
    missing = []
    for name, read in files:
        try:
            archive.writestr(name, read())
        except DomainError as trouble:
            missing.append({"file": name, "reason": trouble.reason.code})
    return missing


def _files(actor: Actor, kind: str, row: Any) -> Iterator[tuple[str, Callable[[], bytes]]]:
    """The names of the files that belong to a row, each with what reads it."""
    if isinstance(row, Attachment):
        read, suffix = (read_voice, "") if row.media == "voice" else (read_picture, ".jpg")
        yield f"files/{kind}-{row.pk}{suffix}", partial(read, row)
    for column in row._meta.concrete_fields:
        document = getattr(row, column.name) if column.related_model is Document else None
        if document is not None:
            yield f"files/{kind}-{row.pk}.pdf", partial(read_document, actor=actor, document=document)
