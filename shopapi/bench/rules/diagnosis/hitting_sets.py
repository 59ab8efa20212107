"""Smallest sets of faulty components, whatever the components are.

After Reiter, “A theory of diagnosis from first principles” (1987): a conflict is a set of components that cannot all
be without fault; a diagnosis is a smallest set that has one component of every conflict. Conflicts are found when they
are needed, and the tree of sets is searched by size, as in the general diagnostic engine (de Kleer and Williams 1987).
Twin: `pwa/src/domain/bench/diagnosis/hittingSets.ts`.
"""

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def smallest_part(items: Sequence[T], fails: Callable[[Sequence[T]], bool]) -> list[T]:
    """The items without those that are not needed for `fails` to hold; it holds for all, and for more if for fewer."""
    needed = list(items)
    for item in items:
        fewer = [each for each in needed if each is not item]
        if fails(fewer):
            needed = fewer
    return needed


def smallest_diagnoses(
    components: Sequence[str], explains: Callable[[frozenset[str]], bool], most: int
) -> list[frozenset[str]]:
    """Every smallest set of at most `most` components that explains what was seen if they alone are at fault.

    `explains`: whether it could have been seen with these at fault in any manner and all others without fault; it holds
    for a larger set if for a smaller one. By size, then in the order of the components.
    """
    found: list[frozenset[str]] = []
    level = [frozenset[str]()]
    for size in range(most + 1):
        following: dict[frozenset[str], None] = {}
        for faulty in level:
            if any(known <= faulty for known in found):
                continue
            if explains(faulty):
                found.append(faulty)
            elif size < most:
                for component in conflict_without(components, explains, faulty):
                    following[faulty | {component}] = None
        level = list(following)
    place = {component: number for number, component in enumerate(components)}
    return sorted(found, key=lambda faulty: (len(faulty), sorted(place[each] for each in faulty)))


def conflict_without(
    components: Sequence[str], explains: Callable[[frozenset[str]], bool], faulty: frozenset[str]
) -> list[str]:
    """A smallest conflict among the other components. Empty where no set of components explains what was seen."""
    everything = frozenset(components)
    others = [each for each in components if each not in faulty]
    if not explains(everything):
        return []
    return smallest_part(others, lambda sound: not explains(everything.difference(sound)))
