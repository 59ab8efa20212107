"""The demo shop: an invented story, told to an empty installation through the services of any shop."""
