"""What DEVELOPERS.md draws is what the rules say."""

from pathlib import Path

from shopapi.config.management.commands.diagrams import diagrams


def test_the_diagrams_in_the_guide_are_those_of_the_rules() -> None:
    guide = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert diagrams().strip() in guide
