"""The resources of customers."""

from pydantic import Field

from shopapi.accounts.rules import Permission
from shopapi.core.parameters import Filters
from shopapi.core.resources import Resource
from shopapi.core.schema import Moment
from shopapi.customers import queries, services
from shopapi.customers.models import Customer, CustomerImport, Site
from shopapi.customers.rules.customer import CustomerRow, SiteRow
from shopapi.customers.rules.import_schemas import IMPORT_TRANSITIONS, CustomerImportRow
from shopapi.customers.services import imports


class CustomerFilters(Filters):
    archived: bool = False
    changed_since: Moment | None = Field(
        None,
        description="Only rows changed at this instant or later.",
        json_schema_extra={"lookup": "changed_at__gte"},
    )


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
    Resource(
        "customer_import",
        CustomerImport,
        CustomerImportRow,
        reads=Permission.EDIT_SHOP,
        synced=False,
        # The file is on the server, so this needs a connection.
        queued=False,
        rows=queries.imports,
        show=queries.show_import,
        commands=(imports.start_customer_import, imports.undo_customer_import),
        transitions={"state": IMPORT_TRANSITIONS},
        columns=("file_name", "state", "total", "done", "created_at"),
        hidden=("content", "cards"),
    ),
)
