"""URLs of the customer page, separate from the API: no sign-in, no JSON."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from shopapi.quotes.api import customer_page


class SizeConverter(StringConverter):
    regex = "small|large"


register_converter(SizeConverter, "picture_size")

urlpatterns = [
    path("<str:token>", customer_page.ask, name="ask"),
    path("<str:token>/question", customer_page.question, name="ask_question"),
    path("<str:token>/asked", customer_page.was_asked, name="ask_asked"),
    path("<str:token>/quote.pdf", customer_page.pdf, name="ask_pdf"),
    path("<str:token>/pictures/<uuid:picture_id>/<picture_size:size>", customer_page.picture, name="ask_picture"),
]
