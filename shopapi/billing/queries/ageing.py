"""What customers owe by age."""

from collections.abc import Iterable
from datetime import date

from shopapi.accounts.queries import shop_of
from shopapi.billing.queries.accounts import customer_accounts
from shopapi.billing.rules.ageing import AgeingReport, AgeingRow, Ages, OpenAmount, age_amounts
from shopapi.core.actor import Actor
from shopapi.customers.models import Customer


def ageing_report(actor: Actor, through: date) -> AgeingReport:
    """Customers with something open or in their favor, the largest amount first; and the sums."""
    accounts = {key: one for key, one in customer_accounts(actor, through).items() if one.amounts}
    names = dict(Customer.objects.filter(shop=actor.shop_id, id__in=accounts).values_list("id", "name"))
    rows = [
        AgeingRow(
            customer_id=customer,
            name=names[customer],
            ages=_ages(account.amounts, through),
            open_minor=sum(one.open_minor for one in account.amounts),
            oldest_due_on=min((bill.due_on for bill in account.bills if bill.open_minor and bill.due_on), default=None),
            invoices=sum(bill.open_minor > 0 for bill in account.bills),
        )
        for customer, account in accounts.items()
    ]
    everything = [one for account in accounts.values() for one in account.amounts]
    return AgeingReport(
        through=through,
        currency=shop_of(actor).currency,
        rows=sorted(rows, key=lambda row: (-row.open_minor, row.name, row.customer_id)),
        ages=_ages(everything, through),
        open_minor=sum(one.open_minor for one in everything),
    )


def _ages(amounts: Iterable[OpenAmount], through: date) -> Ages:
    return Ages.model_validate(age_amounts(amounts, through))
