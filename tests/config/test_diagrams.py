"""The diagrams in `shopapi/states.md` match the rules."""

from pathlib import Path

from shopapi.config.management.commands.diagrams import diagrams


def test_diagrams_match_the_rules() -> None:
    file = Path(__file__).parents[2] / "shopapi" / "states.md"
    assert file.read_text(encoding="utf-8") == diagrams()
