from django.urls import path

from shopapi.notices.api.views import ChannelsView, PreviewView, TextView

urlpatterns = [
    path("channels", ChannelsView.as_view(), name="channels"),
    path("notice-templates/preview", PreviewView.as_view(), name="notice_templates_preview"),
    path("notices/<uuid:row_id>/text", TextView.as_view(), name="notices_text"),
]
