"""What `shopapi/states.md` draws is what the rules say."""

from pathlib import Path

from shopapi.config.management.commands.diagrams import diagrams


def test_the_diagrams_are_those_of_the_rules() -> None:
    file = Path(__file__).parents[2] / "shopapi" / "states.md"
    assert file.read_text(encoding="utf-8") == diagrams()
