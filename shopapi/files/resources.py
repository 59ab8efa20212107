"""The resources of files."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.files.models import Attachment
from shopapi.files.rules import AttachmentRow
from shopapi.files.services import attachments

RESOURCES = (
    Resource(
        "attachment",
        Attachment,
        AttachmentRow,
        reads=Permission.READ,
        snapshot_order=1,
        filters=("about_kind", "about_id"),
        commands=(attachments.add_attachment, attachments.edit_attachment, attachments.remove_attachment),
        computed_fields=("added_by_id",),
        columns=("about_kind", "about_id", "media", "state", "bytes", "taken_at", "added_by"),
        reasons=("reason",),
        column_filters=("state", "about_kind", "media"),
    ),
)
