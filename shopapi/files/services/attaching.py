"""The words of a picture: that it was taken, of what, and what it shows."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Edit, Target
from shopapi.files import queries
from shopapi.files.models import Attachment, Upload
from shopapi.files.rules import AttachmentFields, AttachmentRecord


@command(needs=Permission.WORK_JOBS, fact=True)
def add_attachment(*, actor: Actor, data: AttachmentRecord) -> Attachment:
    """Write down that a picture was taken; its bytes follow as an upload."""
    refuse_known_id(Attachment, data.id)
    attachment = Attachment.objects.create(
        shop_id=actor.shop_id,
        added_by_id=actor.member_id,
        **data.model_dump(),
    )
    record(actor, "picture added", (data.about_kind, data.about_id), attachment=attachment.id)
    return attachment


@command(needs=Permission.WORK_JOBS)
def edit_attachment(*, actor: Actor, data: Edit) -> Attachment:
    """Change what is said of a picture."""
    attachment = queries.attachment_for(actor, data.id)
    return edit_row(actor=actor, kind="attachment", row=attachment, edit=data, fields=AttachmentFields)


@command(needs=Permission.WORK_JOBS)
def remove_attachment(*, actor: Actor, data: Target) -> Attachment:
    """Remove a picture with all its bytes."""
    attachment = queries.attachment_for(actor, data.id)
    Upload.objects.filter(shop=actor.shop_id, attachment=attachment).delete()
    keys = [queries.picture_key(attachment, small=small) for small in (False, True)]
    attachment.delete()
    attachment.pk = data.id
    after_commit("files.forget_pictures", shop_id=actor.shop_id, keys=keys)
    record(actor, "picture removed", (attachment.about_kind, attachment.about_id), attachment=data.id)
    return attachment
