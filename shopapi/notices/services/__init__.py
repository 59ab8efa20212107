"""The services of notices: its only writers."""
