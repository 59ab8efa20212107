"""Import of an address book in the app: upload, check, add in the background, undo."""

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db.models import F, ManyToOneRel, QuerySet
from django.db.models.functions import Now

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, Context, FieldError, Invalid
from shopapi.core.feed import lock_shop
from shopapi.core.fields import ERASED
from shopapi.core.models import Receipt
from shopapi.core.rows import id_taken, row_for
from shopapi.core.schema import Target, to_json
from shopapi.customers.models import Customer, CustomerImport
from shopapi.customers.queries import customers, known_customer
from shopapi.customers.rules.address_book import Book, Card, UnreadableBook, clean_line
from shopapi.customers.rules.address_csv import FIELDS, CsvTable, assign_fields, has_name, open_table, read_cards
from shopapi.customers.rules.address_plan import BY_NAME, DuplicateAction, ImportOutcome, Match, Step, plan_import
from shopapi.customers.rules.address_vcard import read_vcards
from shopapi.customers.rules.import_schemas import (
    MAX_UPLOAD_BYTES,
    MOST_LISTED,
    ImportCheck,
    ImportColumn,
    ImportFault,
    ImportOptions,
    ImportState,
    KnownRow,
    StartImport,
)
from shopapi.customers.services.import_steps import check_steps, execute_steps

# Rows added in one transaction: the shop's write lock is held for well under a second.
CHUNK_ROWS = 200
# A file that nobody imports is dropped.
KEPT = timedelta(days=1)
_EXAMPLES = 3
_EXAMPLE_CHARACTERS = 60
_BY_THIS_FILE = "same file"


def store_upload(*, actor: Actor, import_id: UUID, file_name: str, content: bytes) -> CustomerImport:
    """Keep an uploaded file; the same id with the same file again is the same upload.

    Raises Invalid for a file that cannot be read or is past the limits, Conflict for an id with another file.
    """
    # Before the lock: others write meanwhile.
    file_name = clean_line(file_name[:1000])[:120] or "address book"
    _open(file_name, content)
    lock_shop(actor.shop_id)
    digest = hashlib.sha256(content).hexdigest()
    if known := CustomerImport.objects.filter(id=import_id).first():
        if known.digest != digest:
            raise id_taken()
        return known
    found = CustomerImport.objects.create(
        id=import_id, shop_id=actor.shop_id, file_name=file_name, digest=digest, content=content
    )
    record(actor, "address book uploaded", ("customer_import", import_id))
    after_commit("customers.drop_upload", shop_id=actor.shop_id, at=now() + KEPT, import_id=import_id)
    return found


def drop_upload(*, actor: Actor, import_id: UUID) -> None:
    """Remove an upload that was never imported. The caller holds the shop's write lock."""
    CustomerImport.objects.filter(shop=actor.shop_id, id=import_id, state=ImportState.UPLOADED).delete()


def check_import(*, actor: Actor, found: CustomerImport, options: ImportOptions) -> ImportCheck:
    """What an import with these options would do; nothing is written."""
    _require_state(found, ImportState.UPLOADED)
    opened = _open(found.file_name, bytes(found.content))
    columns = assign(opened, options) if isinstance(opened, CsvTable) else ()
    listed = [
        ImportColumn(
            place=column.place,
            header=column.header,
            field=column.field,
            examples=_examples(opened, column.place),
        )
        for column in columns
        if isinstance(opened, CsvTable)
    ]
    names_missing = isinstance(opened, CsvTable) and not has_name(columns)
    plan = _ImportPlan((), frozenset())
    if not names_missing:
        plan = _plan(actor, found, _book(opened, options), options)
    by_outcome = {outcome: [step for step in plan.steps if step.does is outcome] for outcome in ImportOutcome}
    known, broken = by_outcome[ImportOutcome.SKIP], _faults(by_outcome[ImportOutcome.REFUSED])
    return ImportCheck(
        columns=listed,
        fields=[field for field in FIELDS if field != "skip"] if listed else [],
        names_missing=names_missing,
        rows=len(opened.rows) if isinstance(opened, CsvTable) else len(opened.cards),
        to_add=len(by_outcome[ImportOutcome.ADD]),
        known=len(known),
        similar=len(plan.similar),
        broken=len(by_outcome[ImportOutcome.REFUSED]),
        known_rows=[_known_row(step) for step in known[:MOST_LISTED]],
        broken_rows=broken[:MOST_LISTED],
        notices=list(opened.notices),
    )


@command(needs=Permission.EDIT_SHOP)
def start_customer_import(*, actor: Actor, data: StartImport) -> CustomerImport:
    """Import an uploaded address book: its new rows become customers, in the background.

    Rows that look like a known customer are left out, except those in `add_rows`; broken rows are reported.
    """
    found = row_for(CustomerImport, actor, data.id)
    if found.state != ImportState.UPLOADED:
        # Started before, by a request whose answer was lost.
        return found
    opened = _open(found.file_name, bytes(found.content))
    if isinstance(opened, CsvTable) and not has_name(assign(opened, data)):
        raise Invalid("invalid", fields=[FieldError("fields", "import_names_missing")])
    steps = _plan(actor, found, _book(opened, data), data).steps
    to_add = [step for step in steps if step.does is ImportOutcome.ADD]
    if not to_add:
        raise Conflict("nothing_to_import")
    found.cards = [_stored(step) for step in to_add]
    found.total = len(to_add)
    found.left_out = sum(step.does is ImportOutcome.SKIP for step in steps)
    found.refused = _kept_faults(steps)
    found.content, found.state = b"", ImportState.RUNNING
    found.save()
    # By the clock of the database, which also dates the customers.
    CustomerImport.objects.filter(pk=found.pk).update(started_at=Now())
    record(actor, "import started", ("customer_import", found.id), rows=found.total)
    after_commit("customers.import_rows", shop_id=actor.shop_id, import_id=found.id, start=0)
    return found


def import_rows(*, actor: Actor, import_id: UUID) -> None:
    """Add the next rows of a running import and schedule those after them. The caller holds the shop's write lock."""
    found = row_for(CustomerImport, actor, import_id)
    if found.state != ImportState.RUNNING:
        return
    batch = found.cards[found.done : found.done + CHUNK_ROWS]
    # The plan was made when the import started: only customers added since then are compared again.
    own = [customer_id for _, customer_id in found.customers]
    since = customers(actor).filter(created_at__gte=found.started_at).exclude(id__in=own)
    steps = plan_import(
        [_card(stored["card"]) for stored in batch],
        [known_customer(one) for one in since.order_by("created_at", "id")],
        rows={stored["card"]["row"]: DuplicateAction.ADD for stored in batch if stored["looks_known"]},
    )
    added: dict[str, UUID] = {}
    executed = execute_steps(actor, steps, added=added)
    found.customers = found.customers + [[int(key[4:]), str(customer_id)] for key, customer_id in added.items()]
    found.left_out += sum(step.does is ImportOutcome.SKIP for step in executed)
    found.refused = found.refused + _kept_faults(executed)
    found.done += len(batch)
    if found.done >= found.total:
        found.state, found.cards = ImportState.DONE, []
        found.save()
        record(actor, "import done", ("customer_import", import_id), added=len(found.customers))
        return
    found.save(update_fields=["customers", "left_out", "refused", "done"])
    after_commit("customers.import_rows", shop_id=actor.shop_id, import_id=import_id, start=found.done)


@command(needs=Permission.EDIT_SHOP)
def undo_customer_import(*, actor: Actor, data: Target) -> CustomerImport:
    """Delete the customers that an import added, all or none.

    Refused once one of them has a place, a machine or a job, or was edited.
    """
    found = row_for(CustomerImport, actor, data.id)
    if found.state == ImportState.UNDONE:
        return found
    _require_state(found, ImportState.DONE)
    rows = customers(actor).filter(id__in=[customer_id for _, customer_id in found.customers])
    ids = set(rows.values_list("id", flat=True))
    if used := ids & _with_dependents():
        raise _in_use(rows.filter(id__in=used), "import_in_use")
    if edited := set(rows.filter(changed_at__gt=F("created_at")).values_list("id", flat=True)):
        raise _in_use(rows.filter(id__in=edited), "import_edited")
    rows.delete()
    found.state, found.customers = ImportState.UNDONE, []
    found.save(update_fields=["state", "customers"])
    record(actor, "import undone", ("customer_import", found.id), removed=len(ids))
    return found


def refuse_while_running(actor: Actor) -> None:
    """Raise Conflict `import_running` while customers are being added."""
    if CustomerImport.objects.filter(shop=actor.shop_id, state=ImportState.RUNNING).exists():
        raise Conflict("import_running")


def erase_from_imports(*, actor: Actor, customer_id: UUID, texts: Sequence[str]) -> None:
    """Erase a customer from the shop's imports. A file that waits to be imported may name anybody and is removed.

    The ids of the rows that an import added stay, so that the same file does not add the customer again. The caller
    holds the shop's write lock.
    """
    rows = CustomerImport.objects.filter(shop=actor.shop_id)
    rows.filter(state=ImportState.UPLOADED).delete()
    added_by = set(rows.filter(customers__contains=[[str(customer_id)]]).values_list("id", flat=True))
    words = {word for text in texts for word in re.findall(r"\w{3,}", text.casefold())}
    for found in rows.defer("content"):
        if found.id in added_by or any(word in found.file_name.casefold() for word in words):
            found.file_name = ERASED
        # Imports of before kept the names, and words that quote cells.
        found.refused = [{**fault, "name": "", "words": ""} if fault["name"] else fault for fault in found.refused]
        found.save(update_fields=["file_name", "refused"])
        for receipt in Receipt.objects.filter(shop_id=actor.shop_id, body__id=str(found.id)):
            body = {**(receipt.body or {}), "file_name": found.file_name, "refused": found.refused}
            Receipt.objects.filter(pk=receipt.pk).update(body=body)


def assign(table: CsvTable, options: ImportOptions) -> Any:
    """The columns of a table with the fields that the options name. Raises Invalid."""
    try:
        return assign_fields(table.columns, {int(place): field for place, field in options.fields.items()})
    except UnreadableBook as refused:
        raise Invalid("invalid", fields=[FieldError("fields", "import_unreadable", text=str(refused))]) from None


def _open(file_name: str, content: bytes) -> CsvTable | Book:
    if len(content) > MAX_UPLOAD_BYTES:
        raise Invalid(
            "invalid", fields=[FieldError("file", "import_too_large", context={"most": MAX_UPLOAD_BYTES >> 20})]
        )
    try:
        begin = content[:200].lstrip(b"\xef\xbb\xbf\xff\xfe \r\n").replace(b"\0", b"").upper()
        if file_name.lower().endswith((".vcf", ".vcard")) or begin.startswith(b"BEGIN:VCARD"):
            return read_vcards(content)
        return open_table(content)
    except UnreadableBook as refused:
        raise Invalid("invalid", fields=[FieldError("file", "import_unreadable", text=str(refused))]) from None


def _book(opened: CsvTable | Book, options: ImportOptions) -> Book:
    return read_cards(opened, assign(opened, options)) if isinstance(opened, CsvTable) else opened


@dataclass(frozen=True, slots=True)
class _ImportPlan:
    """The steps, and the rows that have nearly the name of a known customer but other contact details."""

    steps: tuple[Step, ...]
    similar: frozenset[int]


def _plan(actor: Actor, found: CustomerImport, book: Book, options: ImportOptions) -> _ImportPlan:
    """What each card would do. A row that this same file added before is left out, whatever the options say."""
    before = _added_before(actor, found)
    known = [known_customer(one) for one in customers(actor).order_by("created_at", "id")]
    names = {one.key: one.name for one in known}
    chosen = {row: DuplicateAction.ADD for row in options.add_rows if row not in before}
    steps = plan_import(book.cards, known, rows=chosen)
    similar = frozenset(
        step.card.row
        for step in steps
        if step.card.row not in before
        and step.match is not None
        and step.match.why == (BY_NAME,)
        and (step.card.phones or step.card.emails)
    )
    if options.add_similar and similar:
        steps = plan_import(book.cards, known, rows={**chosen, **dict.fromkeys(similar, DuplicateAction.ADD)})
    return _ImportPlan(check_steps(_left_out_if_added(step, before, names) for step in steps), similar)


def _left_out_if_added(step: Step, before: Mapping[int, str], names: Mapping[str, str]) -> Step:
    key = before.get(step.card.row)
    if key is None or step.does is ImportOutcome.REFUSED:
        return step
    return replace(step, does=ImportOutcome.SKIP, match=Match(key, names[key], (_BY_THIS_FILE,)))


def _added_before(actor: Actor, found: CustomerImport) -> dict[int, str]:
    """The rows of this same file that earlier imports added, each with its customer, as far as these still exist."""
    earlier = CustomerImport.objects.filter(shop=actor.shop_id, digest=found.digest).exclude(pk=found.pk)
    added = {row: customer_id for pairs in earlier.values_list("customers", flat=True) for row, customer_id in pairs}
    there = {str(one) for one in customers(actor).filter(id__in=added.values()).values_list("id", flat=True)}
    return {row: customer_id for row, customer_id in added.items() if customer_id in there}


def _require_state(found: CustomerImport, state: ImportState) -> None:
    if found.state != state:
        raise Conflict("import_state", context={"state": found.state})


def _with_dependents() -> set[UUID]:
    """The customers of this shop that rows of any other table point at."""
    relations = [one for one in Customer._meta.get_fields(include_hidden=True) if isinstance(one, ManyToOneRel)]
    return {
        customer_id
        for relation in relations
        for customer_id in relation.related_model._default_manager.values_list(relation.field.attname, flat=True)
    }


def _in_use(rows: QuerySet[Customer], message: str) -> Conflict:
    first = rows.order_by("name").first()
    context: Context = {"count": rows.count(), "name": first.name if first else ""}
    return Conflict("import_in_use", message=message, context=context)


def _examples(opened: CsvTable | Book, place: int) -> list[str]:
    rows = opened.rows if isinstance(opened, CsvTable) else ()
    values = (cells[place] for _, cells in rows[:50] if place < len(cells) and cells[place])
    return [value[:_EXAMPLE_CHARACTERS] for value, _ in zip(values, range(_EXAMPLES), strict=False)]


def _known_row(step: Step) -> KnownRow:
    match = step.match or Match("", "", ())
    return KnownRow(
        row=step.card.row,
        name=step.card.name,
        known_name=match.name,
        why=list(match.why),
        in_import=_BY_THIS_FILE in match.why,
    )


def _faults(steps: Sequence[Step]) -> list[ImportFault]:
    return [
        ImportFault(row=step.card.row, name=step.card.name, field=fault.field, code=fault.code, words=fault.words)
        for step in steps
        if step.does is ImportOutcome.REFUSED
        for fault in step.faults
    ]


def _kept_faults(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """The faults as an import keeps them: with the row, not with whom it names. Their words quote no cell."""
    return [to_json(fault.model_copy(update={"name": ""})) for fault in _faults(steps)]


def _stored(step: Step) -> dict[str, Any]:
    return {"card": asdict(step.card), "looks_known": step.match is not None}


def _card(stored: dict[str, Any]) -> Card:
    fields: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in stored.items()
    }
    return Card(**fields)
