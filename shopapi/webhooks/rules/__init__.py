"""Rules of webhooks: pure."""
