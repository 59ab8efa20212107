"""Where owners answer. Kept apart from the API: no sign-in, no JSON."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from shopapi.quotes.api import owner


class SizeConverter(StringConverter):
    regex = "small|large"


register_converter(SizeConverter, "picture_size")

urlpatterns = [
    path("<str:token>", owner.ask, name="ask"),
    path("<str:token>/question", owner.question, name="ask_question"),
    path("<str:token>/asked", owner.was_asked, name="ask_asked"),
    path("<str:token>/paper.pdf", owner.paper, name="ask_paper"),
    path("<str:token>/pictures/<uuid:picture_id>/<picture_size:size>", owner.picture, name="ask_picture"),
]
