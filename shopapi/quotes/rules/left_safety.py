"""Safety findings that the customer was told of and wants left, as customers read them on paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from shopapi.core.languages import Texts
from shopapi.documents.rules import Figures
from shopapi.jobs.rules import DEVICES


@dataclass(frozen=True)
class LeftDevice:
    """A safety device that was left as it was: its key or its name, and what is wrong with it."""

    device: str
    condition: str


@dataclass(frozen=True)
class LeftUnrepaired:
    """A safety finding as it was told, what no longer protects anybody, and who was told how and when."""

    finding: str
    devices: Sequence[LeftDevice]
    lost: str
    who: str
    how: str
    at: datetime


def device_text(device: str, texts: Texts) -> str:
    """What the phone showed for a device of its list; other text as it was typed."""
    return texts[f"device_{device}"] if device in DEVICES else device


def finding_text(one: LeftUnrepaired, texts: Texts) -> str:
    """The finding with its devices: "Seat switch wired over [Seat switch (bypassed)]"."""
    devices = ", ".join(
        f"{device_text(left.device, texts)} ({texts[f'condition_{left.condition}']})" for left in one.devices
    )
    return f"{one.finding} [{devices}]" if devices else one.finding


def told_text(one: LeftUnrepaired, texts: Texts, figures: Figures) -> str:
    """Who was told, how and when."""
    return f"{texts['told']}: {one.who}, {texts[f'told_{one.how}']}, {figures.moment(one.at)}"


def left_text(one: LeftUnrepaired, texts: Texts, figures: Figures) -> str:
    """What was left, what protection is missing, who was told, and that the repair was recommended."""
    return f"{finding_text(one, texts)}: {one.lost}. {texts['recommended']} {told_text(one, texts, figures)}"
