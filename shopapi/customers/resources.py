"""The resources of customers."""

from pydantic import AwareDatetime, Field

from shopapi.accounts.rules import Permission
from shopapi.core.parameters import Filters
from shopapi.core.resources import Resource
from shopapi.customers import services
from shopapi.customers.models import Customer, Site
from shopapi.customers.rules.customer import CustomerRow, SiteRow


class CustomerFilters(Filters):
    archived: bool = False
    changed_since: AwareDatetime | None = Field(None, json_schema_extra={"lookup": "changed_at__gte"})


RESOURCES = (
    Resource(
        "customer",
        Customer,
        CustomerRow,
        reads=Permission.READ,
        filters=CustomerFilters,
        commands=(services.add_customer, services.edit_customer, services.remove_customer),
        columns=("name", "person", "phone", "email", "archived"),
        search=("name", "person", "phone_digits", "email"),
    ),
    Resource(
        "site",
        Site,
        SiteRow,
        reads=Permission.READ,
        filters=("customer_id",),
        commands=(services.add_site, services.edit_site, services.remove_site),
        columns=("label", "customer", "lat", "lon"),
        search=("label", "address"),
    ),
)
