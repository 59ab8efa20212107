"""The one error the launcher shows to a person."""


class LaunchError(Exception):
    """Something a person can correct; the text is one line that says what is wrong and what to do."""
