"""Attachments, their uploads and the pictures made of them: the only writers of this app."""
