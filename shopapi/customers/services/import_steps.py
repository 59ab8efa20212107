"""Execute the steps of an import plan: for the command and for an import in the app alike."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from uuid import UUID

from django.db import transaction

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import DomainError, Invalid, Reason
from shopapi.core.ids import uuid7
from shopapi.core.languages import ENGLISH
from shopapi.core.rendering import render
from shopapi.core.schema import Edit, parse
from shopapi.customers.rules.address_book import Card, CardFault
from shopapi.customers.rules.address_plan import ImportOutcome, Step
from shopapi.customers.rules.customer import CustomerFields, NewCustomer
from shopapi.customers.services import add_customer, edit_customer

_FIELDS_OF_CARD = (
    "name",
    "person",
    "phone",
    "second_phone",
    "email",
    "address",
    "notes",
    "tax_exempt",
    "exempt_reason",
)


def execute_steps(actor: Actor, steps: Iterable[Step], *, added: dict[str, UUID] | None = None) -> tuple[Step, ...]:
    """Execute the planned steps through the services; a step that a service refuses is returned as refused.

    `added` gets the id of each new customer by `row N`. The caller holds the shop's transaction and rolls it back
    after a dry run, so that both report the same.
    """
    added = {} if added is None else added
    language = shop_of(actor).customer_language
    executed: list[Step] = []
    for step in steps:
        try:
            # A savepoint: an error in one row must not affect the next.
            with transaction.atomic():
                _execute_step(actor, step, added, language)
            executed.append(step)
        except DomainError as refused:
            executed.append(_refused(step, refused))
    return tuple(executed)


def check_steps(steps: Iterable[Step]) -> tuple[Step, ...]:
    """The steps, refused as `execute_steps` would refuse them; nothing is written."""
    refused_keys: set[str] = set()
    checked: list[Step] = []
    for step in steps:
        try:
            _check_match(step, lambda key: key not in refused_keys)
            if step.does is ImportOutcome.ADD:
                _new_customer(step.card, uuid7(), ENGLISH)
            checked.append(step)
        except DomainError as refused:
            refused_keys.add(f"row {step.card.row}")
            checked.append(_refused(step, refused))
    return tuple(checked)


def _refused(step: Step, refused: DomainError) -> Step:
    faults = tuple(CardFault(fault.field, fault.code, render(fault.reason)) for fault in refused.fields)
    return replace(
        step,
        does=ImportOutcome.REFUSED,
        faults=faults or (CardFault("row", refused.code, render(refused.reason)),),
    )


def _new_customer(card: Card, customer_id: UUID, language: str) -> NewCustomer:
    """The customer of a card, who reads `language` where the card says no other."""
    fields = {name: getattr(card, name) for name in _FIELDS_OF_CARD}
    return parse(NewCustomer, {"id": str(customer_id), **fields, "language": card.language or language})


def _check_match(step: Step, is_there: Callable[[str], bool]) -> None:
    """Raise Invalid for a step about a row of the same file that is itself refused."""
    if step.does not in (ImportOutcome.SKIP, ImportOutcome.UPDATE) or step.match is None:
        return
    if step.match.key.startswith("row ") and not is_there(step.match.key):
        text = f"It looks like {step.match.key}, which is refused. Correct that one first."
        raise Invalid("duplicate_of_refused", reason=Reason("duplicate_of_refused", text=text))


def _execute_step(actor: Actor, step: Step, added: dict[str, UUID], language: str) -> None:
    card, match = step.card, step.match
    _check_match(step, added.__contains__)
    if step.does is ImportOutcome.ADD:
        customer_id = uuid7()
        add_customer.within(actor=actor, data=_new_customer(card, customer_id, language))
        added[f"row {card.row}"] = customer_id
    elif step.does is ImportOutcome.UPDATE and match is not None and step.sets:
        customer_id = added[match.key] if match.key.startswith("row ") else UUID(match.key)
        base = {field: there for field, (there, _) in step.sets.items()}
        sets = {field: new for field, (_, new) in step.sets.items()}
        edit_customer.within(actor=actor, data=Edit[CustomerFields](id=customer_id, base=base, set=sets))
