"""Django's `makemigrations`, which also writes what makes a table belong to its shop."""

from django.core.management.commands import makemigrations

from shopapi.config.autodetector import ShopAutodetector


class Command(makemigrations.Command):
    autodetector = ShopAutodetector
