"""The resources of the bench."""

from shopapi.core.resources import Resource

RESOURCES: tuple[Resource, ...] = ()
