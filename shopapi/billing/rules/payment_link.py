"""The link to the shop's own payment page, made from a template with fields in braces.

Twin: `pwa/src/domain/billing/paymentLink.ts`; both run `fixtures/billing/payment_links.json`.
"""

import re
from collections.abc import Mapping
from urllib.parse import quote, urlsplit

from shopapi.core.errors import FieldError
from shopapi.core.money import minor_digits, plain_amount

FIELD = re.compile(r"\{([^{}]*)\}")


def link_fields(*, number: str, amount_minor: int, currency: str) -> Mapping[str, str]:
    """The values by field: `amount` in plain decimals of the currency, `minor` in its smallest unit."""
    amount = plain_amount(amount_minor, minor_digits(currency))
    return {"number": number, "amount": amount, "minor": str(amount_minor), "currency": currency}


FIELDS = tuple(link_fields(number="", amount_minor=0, currency=""))


def payment_link(template: str, *, number: str, amount_minor: int, currency: str) -> str:
    """The template with its fields filled in, everything but letters, digits and "-._~" escaped. Empty without one."""
    values = link_fields(number=number, amount_minor=amount_minor, currency=currency)
    return FIELD.sub(lambda found: quote(values.get(found[1], ""), safe=""), template)


def link_faults(template: str) -> list[FieldError]:
    """What is wrong with a template, by field; empty: nothing."""
    if not template:
        return []
    unknown = [name for name in FIELD.findall(template) if name not in FIELDS]
    if unknown:
        context = {"name": unknown[0], "known": ", ".join(f"{{{name}}}" for name in FIELDS)}
        return [FieldError("payment_url", "payment_link_field_unknown", context=context)]
    plain = FIELD.sub("0", template)
    host = re.match(r"https://([a-z0-9-]+\.)+[a-z0-9-]+(:[0-9]+)?(/|\?|$)", template, re.IGNORECASE)
    if host is None or re.search(r"[\s{}<>\"\\^`|]", plain) or urlsplit(plain).username is not None:
        return [FieldError("payment_url", "payment_link_not_https")]
    return []
