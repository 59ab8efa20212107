"""The only writers of this app: attachments, uploads, processed pictures."""
