"""Import of an address book: upload of the file and its check; the rest is derived from `resources`."""

from uuid import UUID

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.uploads import BYTES, bytes_parser
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters
from shopapi.core.rows import row_for
from shopapi.core.schema import parse, to_json
from shopapi.customers.models import CustomerImport
from shopapi.customers.queries import show_import
from shopapi.customers.rules.import_schemas import MAX_UPLOAD_BYTES, CustomerImportRow, ImportCheck, ImportOptions
from shopapi.customers.services import imports

TAGS = ["customer imports"]


class AddressBookQuery(Parameters):
    id: UUID
    name: str


class UploadBookView(ShopView):
    needs = {"POST": Permission.EDIT_SHOP}
    parser_classes = (bytes_parser(MAX_UPLOAD_BYTES),)

    @extend_schema(
        operation_id="upload_address_book",
        summary="Upload an address book to import, CSV or vCard",
        description="`id` is a new UUID, that of the import; sending the same file under it again changes nothing.",
        parameters=query_parameters(AddressBookQuery),
        request={BYTES: OpenApiTypes.BINARY},
        responses={201: CustomerImportRow, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request) -> Response:
        asked = AddressBookQuery.read(request.query_params)
        # An empty body is not parsed.
        content = request.data if isinstance(request.data, bytes) else b""
        found = imports.store_upload(actor=self.actor, import_id=asked.id, file_name=asked.name, content=content)
        return Response(to_json(show_import(self.actor, found)), status=201)


class CheckImportView(ShopView):
    needs = {"POST": Permission.EDIT_SHOP}

    @extend_schema(
        operation_id="check_customer_import",
        summary="What an import would add, leave out and refuse; nothing is written",
        request=ImportOptions,
        responses={200: ImportCheck, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request, row_id: UUID) -> Response:
        options = parse(ImportOptions, request.data)
        found = row_for(CustomerImport, self.actor, row_id)
        return Response(to_json(imports.check_import(actor=self.actor, found=found, options=options)))
