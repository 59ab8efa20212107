"""The services of quotes: its only writers."""
