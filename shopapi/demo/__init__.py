"""The demo shop: an invented scenario, loaded into an empty installation through the services of any shop."""
