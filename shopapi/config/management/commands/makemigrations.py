"""Django's `makemigrations`, which also writes the operations that tie a table to its shop."""

from django.core.management.commands import makemigrations

from shopapi.config.autodetector import ShopAutodetector


class Command(makemigrations.Command):
    autodetector = ShopAutodetector
