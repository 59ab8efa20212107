"""Commands about attachments: what a picture or voice note is of and its caption; the bytes come by upload."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit, Target
from shopapi.files import queries
from shopapi.files.models import Attachment, Upload
from shopapi.files.rules import AttachmentFields, AttachmentRecord


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def add_attachment(*, actor: Actor, data: AttachmentRecord) -> Attachment:
    """Add an attachment for a picture that was taken or a voice note; its bytes follow as an upload."""
    refuse_known_id(Attachment, data.id)
    attachment = Attachment.objects.create(
        shop_id=actor.shop_id,
        added_by_id=actor.member_id,
        **data.model_dump(),
    )
    record(actor, f"{data.media} added", (data.about_kind, data.about_id), attachment=attachment.id)
    return attachment


@command(needs=Permission.WORK_JOBS)
def edit_attachment(*, actor: Actor, data: Edit[AttachmentFields]) -> Attachment:
    """Change the caption of an attachment."""
    attachment = row_for(Attachment, actor, data.id)
    return edit_row(actor=actor, kind="attachment", row=attachment, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_attachment(*, actor: Actor, data: Target) -> Attachment:
    """Remove an attachment with its upload and its stored pictures or sound."""
    attachment = row_for(Attachment, actor, data.id)
    Upload.objects.filter(shop=actor.shop_id, attachment=attachment).delete()
    keys = queries.stored_keys(attachment)
    attachment.delete()
    attachment.pk = data.id
    after_commit("files.forget_pictures", shop_id=actor.shop_id, keys=keys)
    record(actor, f"{attachment.media} removed", (attachment.about_kind, attachment.about_id), attachment=data.id)
    return attachment
