"""The only writer of this app: writing quotes, deciding them, putting them on paper."""
