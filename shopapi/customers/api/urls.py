from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.customers import queries, services
from shopapi.customers.rules.customer import CustomerRow, SiteRow


class CustomerFilters(Filters):
    archived: bool = False
    changed_since: AwareDatetime | None = Field(None, json_schema_extra={"lookup": "changed_at__gte"})


class SiteFilters(Filters):
    customer_id: UUID | None = None


customers = Noun(
    "customers",
    CustomerRow,
    queries.customers,
    queries.show_customer,
    Permission.READ,
    filters=CustomerFilters,
    add=services.add_customer,
    verbs={"edit": services.edit_customer, "remove": services.remove_customer},
)
sites = Noun(
    "sites",
    SiteRow,
    queries.sites,
    queries.show_site,
    Permission.READ,
    filters=SiteFilters,
    add=services.add_site,
    verbs={"edit": services.edit_site, "remove": services.remove_site},
)

urlpatterns = [*customers.urls(), *sites.urls()]
