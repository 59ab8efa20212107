"""The only writers of webhooks."""
