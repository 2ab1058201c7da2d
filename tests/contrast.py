"""How well texts of pictures stand out, in a browser: axe-core cannot tell what lies under a text of SVG."""

from __future__ import annotations

from playwright.sync_api import Page

LEAST = 4.5
"""WCAG 2.2, 1.4.3 (AA), text of usual size."""
SCRIPT = r"""least => {
  const channels = c => c.match(/[\d.]+/g).map(Number);
  const linear = v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4;
  const luminance = c => { const [r, g, b] = channels(c).slice(0, 3).map(v => linear(v / 255));
    return .2126 * r + .7152 * g + .0722 * b };
  const solid = c => c && c.startsWith('rgb') && (channels(c)[3] ?? 1) === 1 ? c : null;
  const colour = e => { const s = getComputedStyle(e);
    if (e instanceof SVGGeometryElement) return s.fillOpacity === '1' ? solid(s.fill) : null;
    return e instanceof SVGElement && e.localName !== 'svg' ? null : solid(s.backgroundColor) };
  const judge = e => {
    e.scrollIntoView({block: 'center', inline: 'center'});
    const box = e.getBoundingClientRect(), own = getComputedStyle(e).fill;
    const under = document.elementsFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const ground = under.filter(o => !e.contains(o)).map(colour).find(c => c) ?? 'rgb(255, 255, 255)';
    const [more, less] = [luminance(own), luminance(ground)].sort((a, b) => b - a);
    const ratio = (more + .05) / (less + .05);
    return ratio < least ? [`contrast ${ratio.toFixed(2)} on ${ground}: ${e.outerHTML.slice(0, 120)}`] : [] };
  return [...document.querySelectorAll('svg text')]
    .filter(e => e.checkVisibility() && e.textContent.trim()).flatMap(judge) }"""
"""Contrast and relative luminance as WCAG 2.2 defines them; the threshold is that of IEC 61966-2-1."""


def pale(page: Page) -> list[str]:
    """Texts of pictures that stand out too little from the uppermost filled shape or box under their middle."""
    return page.evaluate(SCRIPT, LEAST)  # type: ignore[no-any-return]
