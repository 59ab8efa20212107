from uuid import UUID

from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.notices import queries
from shopapi.notices.api.views import ChannelsView, PreviewView, TextView
from shopapi.notices.rules.notice import Channel, NoticeRow, NoticeState, OptOutRow, SubscriptionRow, TemplateRow
from shopapi.notices.services import posting, wording


class NoticeFilters(Filters):
    about_kind: str | None = None
    about_id: UUID | None = None
    address: str | None = None
    channel: Channel | None = None
    state: NoticeState | None = None


notices = Noun(
    "notices",
    NoticeRow,
    queries.notices,
    queries.show_notice,
    Permission.READ,
    filters=NoticeFilters,
    add=posting.record_message,
    verbs={"sent": posting.note_sent_by_hand, "again": posting.send_again},
)
templates = Noun(
    "notice-templates",
    TemplateRow,
    queries.templates,
    queries.show_template,
    Permission.READ,
    add=wording.put_notice_template,
    verbs={"reset": wording.drop_notice_template},
)
opt_outs = Noun(
    "opt-outs",
    OptOutRow,
    queries.opt_outs,
    queries.show_opt_out,
    Permission.READ,
    add=wording.opt_out,
    verbs={"lift": wording.opt_in},
)
subscriptions = Noun(
    "push-subscriptions",
    SubscriptionRow,
    queries.subscriptions,
    queries.show_subscription,
    Permission.READ,
    add=wording.turn_on_push,
    verbs={"remove": wording.turn_off_push},
)

urlpatterns = [
    path("channels", ChannelsView.as_view(), name="channels"),
    path("notice-templates/preview", PreviewView.as_view(), name="notice_templates_preview"),
    *notices.urls(),
    path("notices/<uuid:row_id>/text", TextView.as_view(), name="notices_text"),
    *templates.urls(),
    *opt_outs.urls(),
    *subscriptions.urls(),
]
