"""Django's `migrate`, which also warns about tables without the operations that tie them to their shop."""

from django.core.management.commands import migrate

from shopapi.config.autodetector import ShopAutodetector


class Command(migrate.Command):
    autodetector = ShopAutodetector
