"""axe-core on one screen: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no sideways scroll."""

from typing import Any

from playwright.sync_api import Page

# Sticky bars cover what lies under them until it is scrolled to; a target is measured uncovered.
UNSTICK = """() => {
    const sheet = new CSSStyleSheet()
    sheet.replaceSync('.dock, .strip { position: static !important }')
    document.adoptedStyleSheets = [sheet]
}"""
RUN = """async () => {
    axe.configure({ checks: [
        { id: 'target-size', options: { minSize: 44 } },
        { id: 'target-offset', options: { minOffset: 44 } },
    ] })
    const found = await axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
    })
    return found.violations.flatMap(({ id, nodes }) =>
        nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`))
}"""
SIDEWAYS = "() => document.documentElement.scrollWidth > screen.width"


def faults(page: Page, where: str) -> list[str]:
    """What is wrong with the screen; `axe_source` must have been given to its browser before it was opened."""
    page.evaluate(UNSTICK)
    found: list[Any] = page.evaluate(RUN)
    if page.evaluate(SIDEWAYS):
        found.append("scrolls sideways")
    return [f"{where}: {fault}" for fault in found]
