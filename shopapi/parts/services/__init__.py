"""The services of parts: its only writers."""
