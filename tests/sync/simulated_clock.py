"""The two clocks of a phone, simulated."""

from dataclasses import dataclass, field

from shopapi.sync.rules.clocks import ClockReading, ReferenceReading, measure_offset

HOUR, MINUTE, SECOND = 3_600_000, 60_000, 1_000


@dataclass
class SimulatedClock:
    """`true_ms` is the server's time. The wall clock is ahead of it by `ahead_ms`; the monotonic one stops in sleep."""

    true_ms: int
    ahead_ms: int = 0
    mono_ms: int = 5_000
    opened: int = 1
    slept_ms: int = field(default=0, init=False)

    @property
    def wall_ms(self) -> int:
        return self.true_ms + self.ahead_ms

    @property
    def session(self) -> str:
        return f"s{self.opened}"

    def run(self, ms: int) -> None:
        self.true_ms += ms
        self.mono_ms += ms

    def sleep(self, ms: int) -> None:
        self.true_ms += ms
        self.slept_ms += ms

    def adjust(self, ms: int) -> None:
        self.ahead_ms += ms

    def reload(self) -> None:
        """Close the app and open it again."""
        self.opened += 1
        self.mono_ms = 1_000

    def reading(self) -> ClockReading:
        return ClockReading(self.wall_ms, self.mono_ms, self.session)

    def record_contact(self, out_ms: int = 40, back_ms: int = 40, work_ms: int = 20) -> ReferenceReading:
        """An exchange with the server, measured as phones do: request and answer take `out_ms` and `back_ms`."""
        sent = self.wall_ms
        self.run(out_ms)
        received = self.true_ms
        self.run(work_ms)
        answered = self.true_ms
        self.run(back_ms)
        theta, delay = measure_offset(sent, received, answered, self.wall_ms)
        within = (delay + 1) // 2
        return ReferenceReading(self.wall_ms, self.mono_ms, self.session, self.wall_ms + theta, within)
