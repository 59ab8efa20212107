"""The services of dispatch: its only writers."""
