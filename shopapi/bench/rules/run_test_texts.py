"""What customers read of the tests before release, in each language (`core.languages`)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shopapi.bench.rules.run_tests import AnyResult, PlannedTest, ReleaseSummary, Result, RunTestKind
from shopapi.bench.rules.start_bounds import missed_share
from shopapi.core.languages import Language, Texts
from shopapi.core.quantities import UNITS
from shopapi.documents.rules import Figures

# A fault that shows in one of so many starts, for which a count says how often it would have missed it.
ONE_IN = 5

_ENGLISH: Mapping[str, str] = {
    "kind_leaks": "leaks",
    "kind_bleed_cycles": "cooling system bled",
    "kind_charge_voltage": "charging voltage",
    "kind_idle_speed": "idle speed",
    "kind_governed_speed": "governed speed",
    "kind_brake_hold": "brake holds",
    "kind_blade_stop_time": "blade stopping time",
    "kind_interlock": "safety switches",
    "kind_heat_soak": "hot restart",
    "kind_starts": "counted starts",
    "kind_other": "other test",
    "rows": "safety switches, {good} of {all} as expected",
    "rows_bad": "safety switches, {bad} of {all} not as expected",
    "rows_left": "safety switches, {left} of {all} states",
    "good": "{good} of {tries} good",
    "missed": "a fault in 1 of {one_in} starts would have been missed {percent} of the time",
}
_SPANISH: Mapping[str, str] = {
    "kind_leaks": "fugas",
    "kind_bleed_cycles": "purga del sistema de enfriamiento",
    "kind_charge_voltage": "voltaje de carga",
    "kind_idle_speed": "marcha mínima",
    "kind_governed_speed": "velocidad regulada",
    "kind_brake_hold": "el freno sostiene",
    "kind_blade_stop_time": "tiempo de paro de las cuchillas",
    "kind_interlock": "interruptores de seguridad",
    "kind_heat_soak": "arranque en caliente",
    "kind_starts": "arranques contados",
    "kind_other": "otra prueba",
    "rows": "interruptores de seguridad, {good} de {all} como se espera",
    "rows_bad": "interruptores de seguridad, {bad} de {all} no como se espera",
    "rows_left": "interruptores de seguridad, {left} de {all} estados",
    "good": "{good} de {tries} bien",
    "missed": "una falla en 1 de cada {one_in} arranques habría pasado sin notarse el {percent} de las veces",
}
TEXTS: Mapping[Language, Texts] = {"en": Texts("en", _ENGLISH), "es": Texts("es", _SPANISH)}


@dataclass(frozen=True)
class TestedLines:
    """What was tested, what did not pass and what was not tested, one text each."""

    passed: Sequence[str]
    failed: Sequence[str]
    not_tested: Sequence[str]


def tested_lines(
    summary: ReleaseSummary[AnyResult], reasons: Mapping[tuple[str, str], str], figures: Figures
) -> TestedLines:
    """The summary as text. `reasons`: why a test was left out, by kind and item."""
    texts = TEXTS[figures.language]
    good, bad, left = (sum(map(_is_row, rows)) for rows in (summary.passed, summary.failed, summary.not_done))
    counts = {"good": good, "bad": bad, "left": left, "all": good + bad + left}

    def lines(rows: Sequence[Result], key: str, count: int) -> list[str]:
        plain = [_result_text(row, texts, figures) for row in rows if not _is_row(row)]
        return [*plain, texts.say(key, **counts)] if count else plain

    not_done = [
        ": ".join(filter(None, (_name(test, texts), reasons.get((test.kind, test.item), ""))))
        for test in summary.not_done
        if not _is_row(test)
    ]
    return TestedLines(
        lines(summary.passed, "rows", good),
        lines(summary.failed, "rows_bad", bad),
        [*not_done, texts.say("rows_left", **counts)] if left else not_done,
    )


def _is_row(test: PlannedTest | Result) -> bool:
    return test.kind == RunTestKind.INTERLOCK and test.item != ""


def _name(test: PlannedTest | Result, texts: Texts) -> str:
    return test.item if test.kind == RunTestKind.OTHER and test.item else texts[f"kind_{test.kind}"]


def _result_text(result: Result, texts: Texts, figures: Figures) -> str:
    name = _name(result, texts)
    if result.value is not None:
        unit = UNITS.get(result.unit)
        return f"{name} {figures.number(result.value)} {unit.symbol if unit else result.unit}"
    if result.kind != RunTestKind.STARTS or not result.tries:
        return name
    good = result.good or 0
    said = f"{name}, {texts.say('good', good=good, tries=result.tries)}"
    if good < result.tries:
        return said
    percent = Decimal(missed_share(1 / ONE_IN, result.tries) * 100)
    shown = figures.percent(round(percent, 0 if percent > 1 else 1))
    return f"{said} ({texts.say('missed', one_in=ONE_IN, percent=shown)})"
