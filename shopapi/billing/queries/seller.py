"""The shop as the seller on its papers."""

from shopapi.accounts.models import Shop
from shopapi.billing.rules.invoices import InvoiceParty
from shopapi.billing.rules.settings import BillingSettingsFields


def seller_of(shop: Shop, settings: BillingSettingsFields) -> InvoiceParty:
    """The seller as printed: an empty legal name is the shop's, an empty street the shop's address."""
    return InvoiceParty(
        name=settings.legal_name or shop.name,
        address=settings.street or shop.address,
        city=settings.city,
        region=settings.region,
        postcode=settings.postcode,
        country=settings.country,
        phone=shop.phone,
        email=shop.email,
        tax_number=settings.tax_number,
        company_number=settings.company_number,
    )
