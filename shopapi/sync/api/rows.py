"""The rows of an answer by kind, for the schema: each list is there when it has rows."""

from shopapi.accounts.rules import MemberRow, ShopRow
from shopapi.core.shape import Shape
from shopapi.customers.rules.customer import CustomerRow, SiteRow
from shopapi.dispatch.rules.records import HandOverRow, PlanRequestRow, PrintoutRow, RigRow, RunRow, StopRow, YardRow
from shopapi.files.rules import AttachmentRow
from shopapi.jobs.rules import ComplaintRow, FindingRow, JobRow
from shopapi.labor.rules.entry import TimeEntryRow
from shopapi.labor.rules.records import WorkHistoryRow
from shopapi.machines.rules import MachineRow, MeterReadingRow
from shopapi.notices.rules.notice import NoticeRow, OptOutRow, TemplateRow
from shopapi.quotes.rules.asking import ApprovalLinkRow, OwnerQuestionRow
from shopapi.quotes.rules.records import ApprovalRow, QuoteLineRow, QuoteRow, SignatureRow
from shopapi.reminders.rules import FollowUpRow
from shopapi.sync.rules import IssueRow


class Rows(Shape):
    shop: list[ShopRow] = []
    member: list[MemberRow] = []
    customer: list[CustomerRow] = []
    site: list[SiteRow] = []
    machine: list[MachineRow] = []
    job: list[JobRow] = []
    complaint: list[ComplaintRow] = []
    finding: list[FindingRow] = []
    time_entry: list[TimeEntryRow] = []
    quote: list[QuoteRow] = []
    quote_line: list[QuoteLineRow] = []
    approval: list[ApprovalRow] = []
    signature: list[SignatureRow] = []
    approval_link: list[ApprovalLinkRow] = []
    owner_question: list[OwnerQuestionRow] = []
    work_history: list[WorkHistoryRow] = []
    yard: list[YardRow] = []
    rig: list[RigRow] = []
    run: list[RunRow] = []
    stop: list[StopRow] = []
    hand_over: list[HandOverRow] = []
    plan_request: list[PlanRequestRow] = []
    printout: list[PrintoutRow] = []
    issue: list[IssueRow] = []
    attachment: list[AttachmentRow] = []
    follow_up: list[FollowUpRow] = []
    notice: list[NoticeRow] = []
    notice_template: list[TemplateRow] = []
    opt_out: list[OptOutRow] = []
    meter_reading: list[MeterReadingRow] = []
