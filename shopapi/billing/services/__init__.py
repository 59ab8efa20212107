"""The services of billing: its only writers."""
