from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.customers.models import Customer, Site


@admin.register(Customer)
class CustomerTable(Table):
    list_display = ("name", "person", "phone", "email", "archived")
    search_fields = ("name", "person", "phone_digits", "email")


@admin.register(Site)
class SiteTable(Table):
    list_display = ("label", "customer", "lat", "lon")
    list_select_related = ("customer",)
    search_fields = ("label", "address")
