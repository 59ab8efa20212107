"""Rules of notices: templates, addresses, quiet hours, states."""
