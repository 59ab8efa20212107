"""The resources of notices."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.notices import queries
from shopapi.notices.models import Notice, NoticeTemplate, OptOut, PushSubscription
from shopapi.notices.rules.notice import NoticeRow, OptOutRow, SubscriptionRow, TemplateRow
from shopapi.notices.services import notices, preferences

RESOURCES = (
    Resource(
        "notice",
        Notice,
        NoticeRow,
        reads=Permission.READ,
        snapshot_order=1,
        show=queries.show_notice,
        filters=("about_kind", "about_id", "address", "channel", "state"),
        commands=(notices.record_message, notices.note_sent_by_hand, notices.send_again),
        computed_fields=("channel", "has_link", "not_before", "state", "member_id"),
        columns=("created_at", "channel", "template", "address", "state", "tries", "reason", "sent_at"),
        reasons=("reason",),
        column_filters=("state", "channel", "template"),
        search=("address", "=about_id"),
    ),
    Resource(
        "notice_template",
        NoticeTemplate,
        TemplateRow,
        reads=Permission.READ,
        snapshot_order=1,
        commands=(preferences.put_notice_template, preferences.drop_notice_template),
        columns=("key", "channel", "subject"),
    ),
    Resource(
        "opt_out",
        OptOut,
        OptOutRow,
        reads=Permission.READ,
        snapshot_order=1,
        commands=(preferences.opt_out, preferences.opt_in),
        computed_fields=("member_id",),
        columns=("channel", "address", "member", "created_at"),
    ),
    Resource(
        "push_subscription",
        PushSubscription,
        SubscriptionRow,
        reads=Permission.READ,
        synced=False,
        rows=queries.subscriptions,
        commands=(preferences.turn_on_push, preferences.turn_off_push),
        columns=("member", "device", "created_at"),
        hidden=("endpoint", "p256dh", "auth"),
    ),
)
