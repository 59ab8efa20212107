"""axe-core on one screen: WCAG 2.2 A and AA, contrast 7:1, targets of 44 px, no horizontal scroll."""

from typing import Any

from playwright.sync_api import Page, expect

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
# The words and classes of the innermost elements that reach beyond a screen that scrolls sideways.
SCROLLS_HORIZONTALLY = """() => {
    if (document.documentElement.scrollWidth <= screen.width) return []
    const wide = [...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect().right > screen.width)
    const inner = wide.filter((e) => !wide.some((other) => other !== e && e.contains(other)))
    return inner.map((e) => `${e.tagName}.${e.className} "${e.textContent.slice(0, 40)}"`)
}"""


def accessibility_violations(page: Page, where: str, *, least_px: int = 44) -> list[str]:
    """The violations on a screen; `axe_source` must have been added as an init script before it was opened.

    `least_px`: the least size of a target: 44 px for fingers, 24 px at the desk, where there is a pointer.
    """
    # The app may still be starting, and the code of the screen on its way.
    expect(page.locator(".page-content[aria-busy=true]")).to_have_count(0)
    expect(page.get_by_role("heading", level=1).first).to_be_attached()
    page.evaluate(DISABLE_STICKY)
    found: list[Any] = page.evaluate(RUN, least_px)
    beyond = page.evaluate(SCROLLS_HORIZONTALLY)
    if beyond:
        found.append(f"scrolls horizontally: {beyond[:3]}")
    return [f"{where}: {violation}" for violation in found]
