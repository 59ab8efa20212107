"""Measures a screen for what is cut off or covered, at the text sizes people set: what axe-core does not look at."""

from dataclasses import dataclass
from typing import Any

from playwright.sync_api import CDPSession, Page


@dataclass(frozen=True)
class TextSize:
    """A way of reading the app: the browser's font size in px, the app's own setting, the width in px."""

    name: str
    browser_px: int = 16
    app: str = "usual"
    width: int = 360


TEXT_SIZES = (
    TextSize("100 %"),
    TextSize("125 %", browser_px=20),
    TextSize("150 %", browser_px=24),
    TextSize("Large", app="large"),
    TextSize("Double", app="huge"),
    TextSize("320 px", width=320),
)


class Ruler:
    """Measures the screens of one page; changes the text size in place, without a reload."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._browser: CDPSession = page.context.new_cdp_session(page)
        self._width = 0

    def faults(self, where: str, sizes: tuple[TextSize, ...] = TEXT_SIZES) -> list[str]:
        """What is cut off, covered or too small on the screen shown, at each text size."""
        found = []
        for size in sizes:
            self._set(size)
            measured: list[Any] = self._page.evaluate(MEASURE)
            found += [f"{size.name}, {where}: {fault}" for fault in measured]
        return found

    def reset(self) -> None:
        """Back to the first text size."""
        self._set(TEXT_SIZES[0])

    def _set(self, size: TextSize) -> None:
        if size.width != self._width:
            self._page.set_viewport_size({"width": size.width, "height": 740})
            self._width = size.width
        self._browser.send("Page.setFontSizes", {"fontSizes": {"standard": size.browser_px, "fixed": 13}})
        self._page.evaluate("size => document.documentElement.setAttribute('data-text', size)", size.app)


# The longest values that people really type, by what a field is for. Names and addresses may scroll inside their field.
MEASURE = """() => {
    const found = new Set()
    const name = (at) => {
        const text = at.labels?.[0]?.textContent || at.getAttribute('aria-label') || at.textContent || at.className
        return `${at.tagName.toLowerCase()}.${at.className} "${String(text).trim().slice(0, 40)}"`
    }
    const shown = (at) => at.checkVisibility({ visibilityProperty: true }) && !at.closest('.visually-hidden')
    const root = document.documentElement

    if (root.scrollWidth > innerWidth) found.add(`scrolls sideways by ${root.scrollWidth - innerWidth} px`)

    const longest = (field) => {
        const label = field.labels?.[0]?.textContent ?? ''
        if (field.inputMode === 'decimal') return ['12.75', '1,234.56']
        if (field.type === 'tel') return ['+1 208 555 0142']
        if (/^(engine )?serial/i.test(label)) return ['1M0X350AKLM012345']
        return []
    }
    for (const field of document.querySelectorAll('input')) {
        if (!shown(field)) continue
        const before = field.value
        for (const value of longest(field)) {
            field.value = value
            if (field.scrollWidth > field.clientWidth)
                found.add(`${name(field)}: ${value} needs ${field.scrollWidth} px of ${field.clientWidth}`)
        }
        if (field.value !== before) field.value = before
        if (['date', 'time'].includes(field.type)) {
            const pen = document.createElement('canvas').getContext('2d')
            pen.font = getComputedStyle(field).font
            const { width } = pen.measureText(field.type === 'date' ? '12/28/2026' : '10:58 PM')
            if (width > field.clientWidth) found.add(`${name(field)}: ${width} px of ${field.clientWidth}`)
        }
    }
    for (const field of document.querySelectorAll('select')) {
        if (!shown(field)) continue
        const pen = document.createElement('canvas').getContext('2d')
        const style = getComputedStyle(field)
        pen.font = style.font
        const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight)
        const { width } = pen.measureText(field.selectedOptions[0]?.textContent ?? '')
        if (width > room + 1) found.add(`${name(field)}: ${Math.round(width)} px of ${Math.round(room)}`)
    }

    const wordsOf = (text) => [...text.data.matchAll(/\\S+/g)].flatMap(({ index, 0: word }) => {
        const each = document.createRange()
        each.setStart(text, index)
        each.setEnd(text, index + word.length)
        return [...each.getClientRects()]
    })

    // Text that its own box, or a box around it that clips, does not hold; numbers broken over two lines.
    const range = document.createRange()
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
    for (let text = texts.nextNode(); text; text = texts.nextNode()) {
        const at = text.parentElement
        if (!text.data.trim() || !shown(at) || at.closest('svg, option, textarea, script, style')) continue
        range.selectNodeContents(text)
        const box = range.getBoundingClientRect()
        if (!box.width) continue
        for (let around = at; around && around !== document.body; around = around.parentElement) {
            const { overflowX, overflowY, display } = getComputedStyle(around)
            if (display === 'inline' || display === 'contents') continue
            const { left, right, top, bottom } = around.getBoundingClientRect()
            const [clipsX, clipsY] = [overflowX, overflowY].map((how) => how === 'hidden' || how === 'clip')
            if (overflowX === 'auto' || overflowX === 'scroll') break
            // Spaces at the end of a line may hang out of it; words may not.
            const spills = (rect) => rect.left < left - 1 || rect.right > right + 1
            if (spills(box) && wordsOf(text).some(spills)) {
                found.add(`"${text.data.trim().slice(0, 40)}" spills out of ${name(around)}`)
                break
            }
            if (clipsY && (box.top < top - 1 || box.bottom > bottom + 1)) {
                found.add(`"${text.data.trim().slice(0, 40)}" is cut off by ${name(around)}`)
                break
            }
        }
        for (const { index, 0: number } of text.data.matchAll(/[$€£]?\\d[\\d.,:]*\\d/g)) {
            if (number.length > 12) continue
            range.setStart(text, index)
            range.setEnd(text, index + number.length)
            const rects = [...range.getClientRects()].filter(({ width }) => width)
            const lines = new Set(rects.map(({ top }) => Math.round(top)))
            if (lines.size > 1) found.add(`${number} is broken over ${lines.size} lines in ${name(at)}`)
        }
    }

    // What is pressed or reached by Tab: at least 24 px each way, and not under a bar once it has the focus.
    const stops = 'a[href], button, input, select, textarea, summary, [tabindex="0"]'
    const started = document.activeElement
    for (const stop of document.querySelectorAll(stops)) {
        if (!shown(stop) || stop.disabled) continue
        const target = stop.closest('label.option, .field, .file-button') ?? stop
        stop.focus()
        const { left, right, top, bottom, width, height } = target.getBoundingClientRect()
        if (Math.min(width, height) < 24) found.add(`${name(stop)}: ${Math.round(width)} by ${Math.round(height)} px`)
        const inset = 2
        const seen = [0.1, 0.5, 0.9].some((across) => [0, 0.5, 1].some((down) => {
            const x = left + inset + (width - 2 * inset) * across
            const y = top + inset + (height - 2 * inset) * down
            const hit = document.elementFromPoint(x, y)
            return hit && (target.contains(hit) || hit.contains(target))
        }))
        if (!seen) found.add(`${name(stop)}: covered while it has the focus`)
    }
    started?.focus?.()
    scrollTo(0, 0)
    return [...found]
}"""
