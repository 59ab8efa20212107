"""The services of the bench: its only writers."""
