"""The services of labor: its only writers."""
