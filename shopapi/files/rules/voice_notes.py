"""What a voice note may be: sound alone, in one of the two containers that browsers record in, and not too long.

The bytes decide, never a name or a declared type. WebM is EBML (RFC 8794) with the elements of Matroska (RFC 9559); MP4
is the box structure of ISO/IEC 14496-12. Only lengths and numbers are read; no sound is decoded here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

VoiceFault = Literal["no_voice_note", "not_only_sound", "voice_too_long", "voice_too_large"]
VoiceContainer = TypeAliasType("VoiceContainer", Literal["webm", "mp4"])

MAX_VOICE_SECONDS = 180
# A phone stops by itself at the limit; its timer and the last packet may come late.
SECONDS_OF_GRACE = 10
# Three minutes at 256 kbit/s, more than any browser records speech with.
MAX_VOICE_BYTES = 6 * 1024 * 1024

EBML, SEGMENT, CLUSTER, TRACK, BLOCK_GROUP = 0x1A45DFA3, 0x18538067, 0x1F43B675, 0xAE, 0xA0
INFO, TRACKS = 0x1549A966, 0x1654AE6B
DOC_TYPE, TIMESTAMP_SCALE, TRACK_TYPE, TIMESTAMP = 0x4282, 0x2AD7B1, 0x83, 0xE7
BLOCKS = (0xA3, 0xA1)
# Elements that hold elements which are read; their content follows their header, so their size need not be known.
ENTERED_ELEMENTS = frozenset({EBML, SEGMENT, INFO, TRACKS, TRACK, CLUSTER, BLOCK_GROUP})
SOUND_TRACK = 2
ENTERED_BOXES = frozenset({b"moov", b"trak", b"mdia", b"moof", b"traf", b"mvex"})


class VoiceRefused(Exception):
    """The bytes are not a voice note that is kept; `code` says why."""

    def __init__(self, code: VoiceFault) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True)
class Sound:
    """What a file of sound says of itself: its container and how long it lasts, in seconds."""

    container: VoiceContainer
    seconds: float

    @property
    def media_type(self) -> str:
        return f"audio/{self.container}"


def read_voice_note(content: bytes) -> Sound:
    """The container and length of a voice note. Raises VoiceRefused where it is none, or is too long or too large."""
    if len(content) > MAX_VOICE_BYTES:
        raise VoiceRefused("voice_too_large")
    container = container_of(content)
    if container is None:
        raise VoiceRefused("no_voice_note")
    seconds = _seconds_of_webm(content) if container == "webm" else _seconds_of_mp4(content)
    if seconds > MAX_VOICE_SECONDS + SECONDS_OF_GRACE:
        raise VoiceRefused("voice_too_long")
    return Sound(container, seconds)


def container_of(content: bytes) -> VoiceContainer | None:
    """The container that the first bytes name, or None.

    >>> container_of(bytes.fromhex("1a45dfa3")), container_of(b"    ftypmp42"), container_of(b"<html>")
    ('webm', 'mp4', None)
    """
    if content.startswith(EBML.to_bytes(4, "big")):
        return "webm"
    return "mp4" if content[4:8] == b"ftyp" else None


def _seconds_of_webm(content: bytes) -> float:
    """How long a WebM lasts: the time of its last block, as a browser records without saying the length."""
    scale, at, last, doc_type = 1_000_000, 0, None, b""
    tracks = set()
    for element, value in _elements(content):
        if element == DOC_TYPE:
            doc_type = value
        elif element == TIMESTAMP_SCALE:
            scale = int.from_bytes(value, "big")
        elif element == TRACK_TYPE:
            tracks.add(int.from_bytes(value, "big"))
        elif element == TIMESTAMP:
            at = int.from_bytes(value, "big")
        elif element in BLOCKS and len(value) > 3:
            # The number of the track takes one byte or more; then 16 bits of time after the cluster's.
            track = _size_of_number(value[0])
            last = max(last or 0, at + int.from_bytes(value[track : track + 2], "big", signed=True))
    if doc_type.rstrip(b"\0") != b"webm" or last is None:
        raise VoiceRefused("no_voice_note")
    if tracks != {SOUND_TRACK}:
        raise VoiceRefused("not_only_sound")
    return last * scale / 1_000_000_000


def _elements(content: bytes) -> Iterator[tuple[int, bytes]]:
    """The id and content of each element, in order, those inside others included.

    The last one may end early: a recording that was cut off is kept. Raises VoiceRefused for bytes that are none.
    """
    at = 0
    while at < len(content):
        id_size = _size_of_number(content[at])
        size_at = at + id_size
        if id_size > 4 or size_at >= len(content):
            raise VoiceRefused("no_voice_note")
        element = int.from_bytes(content[at:size_at], "big")
        size_size = _size_of_number(content[size_at])
        if size_size > 8:
            raise VoiceRefused("no_voice_note")
        start = size_at + size_size
        size = int.from_bytes(content[size_at:start], "big") & ((1 << 7 * size_size) - 1)
        at = start if element in ENTERED_ELEMENTS else start + size
        yield element, b"" if element in ENTERED_ELEMENTS else content[start:at]


def _size_of_number(first: int) -> int:
    """How many bytes a number of EBML takes, by the zeros before the first 1 of its first byte; 9 where there is none.

    >>> _size_of_number(0x81), _size_of_number(0x40), _size_of_number(0x01), _size_of_number(0)
    (1, 2, 8, 9)
    """
    return 9 - first.bit_length()


def _seconds_of_mp4(content: bytes) -> float:
    """How long an MP4 lasts: its fragments together, or what its track says where it has none."""
    ticks, length, fragments, usual, by_default = 0, 0, 0, 0, 0
    handlers = set()
    is_fragmented = has_samples = False
    for kind, value in _boxes(content):
        if kind == b"hdlr":
            handlers.add(value[8:12])
        elif kind == b"mdhd":
            # Version 1 has times of 64 bits.
            long = value[:1] == b"\x01"
            ticks = int.from_bytes(value[20:24] if long else value[12:16], "big")
            length = int.from_bytes(value[24:32] if long else value[16:20], "big")
        elif kind == b"trex":
            usual = int.from_bytes(value[12:16], "big")
        elif kind == b"tfhd":
            by_default = _default_duration(value, usual)
        elif kind == b"trun":
            is_fragmented = True
            fragments += _run_duration(value, by_default)
        elif kind == b"mdat":
            has_samples = has_samples or len(value) > 0
    if not (ticks and has_samples):
        raise VoiceRefused("no_voice_note")
    if handlers != {b"soun"}:
        raise VoiceRefused("not_only_sound")
    return (fragments if is_fragmented else length) / ticks


def _boxes(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The kind and content of each box, in order, those inside others included.

    The last one may end early: a recording that was cut off is kept. Raises VoiceRefused for bytes that are none.
    """
    at = 0
    while at < len(content):
        size, kind, start = int.from_bytes(content[at : at + 4], "big"), content[at + 4 : at + 8], at + 8
        if size == 1:
            size, start = int.from_bytes(content[at + 8 : at + 16], "big"), at + 16
        end = len(content) if size == 0 else at + size
        if len(kind) < 4 or end < start:
            raise VoiceRefused("no_voice_note")
        at = start if kind in ENTERED_BOXES else end
        yield kind, b"" if kind in ENTERED_BOXES else content[start:end]


def _default_duration(header: bytes, usual: int) -> int:
    """The usual duration of a sample in a fragment (box `tfhd`), in ticks."""
    flags = int.from_bytes(header[1:4], "big")
    if not flags & 0x8:
        return usual
    at = 8 + (8 if flags & 0x1 else 0) + (4 if flags & 0x2 else 0)
    return int.from_bytes(header[at : at + 4], "big")


def _run_duration(run: bytes, by_default: int) -> int:
    """How long the samples of a run last (box `trun`), in ticks."""
    flags, count = int.from_bytes(run[1:4], "big"), int.from_bytes(run[4:8], "big")
    if not flags & 0x100:
        return count * by_default
    at = 8 + (4 if flags & 0x1 else 0) + (4 if flags & 0x4 else 0)
    step = 4 * sum(1 for flag in (0x100, 0x200, 0x400, 0x800) if flags & flag)
    return sum(int.from_bytes(run[one : one + 4], "big") for one in range(at, min(len(run), at + count * step), step))
