"""axe-core on one screen: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no horizontal scroll."""

from typing import Any

from playwright.sync_api import Page

# Sticky bars overlap targets until those are scrolled into view; targets are measured without the overlap.
DISABLE_STICKY = """() => {
    const sheet = new CSSStyleSheet()
    sheet.replaceSync('.dock, .place-bar { position: static !important } .top-bar { position: relative !important }')
    document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
}"""
RUN = """async (least) => {
    axe.configure({ checks: [
        { id: 'target-size', options: { minSize: least } },
        { id: 'target-offset', options: { minOffset: least } },
    ] })
    const found = await axe.run(document, {
        runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
    })
    return found.violations.flatMap(({ id, nodes }) =>
        nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`))
}"""
SCROLLS_HORIZONTALLY = "() => document.documentElement.scrollWidth > screen.width"


def accessibility_violations(page: Page, where: str, *, least_px: int = 44) -> list[str]:
    """The violations on a screen; `axe_source` must have been added as an init script before it was opened.

    `least_px`: the least size of a target: 44 px for fingers, 24 px at the desk, where there is a pointer.
    """
    page.evaluate(DISABLE_STICKY)
    found: list[Any] = page.evaluate(RUN, least_px)
    if page.evaluate(SCROLLS_HORIZONTALLY):
        found.append("scrolls horizontally")
    return [f"{where}: {violation}" for violation in found]
