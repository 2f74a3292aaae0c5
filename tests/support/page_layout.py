"""What is wrong with a page as it is drawn: text cut off or written over other text, a page wider than its window, a
control without a name, and what axe-core finds serious or critical."""

from __future__ import annotations

from typing import Any

__all__ = ["badly_drawn", "serious_violations", "unnamed_controls"]

_LOOK = """() => {
  const wrong = [];
  const say = (what, element, more) => {
    const text = (element.value || element.textContent || '').trim().replace(/\\s+/g, ' ').slice(0, 60);
    wrong.push(`${what}: <${element.tagName.toLowerCase()}> "${text}" ${more || ''}`.trim());
  };
  const root = document.documentElement;
  if (root.scrollWidth > window.innerWidth + 1) {
    wrong.push(`page is ${root.scrollWidth} px wide in a window of ${window.innerWidth} px`);
  }
  const seen = (element) => element.checkVisibility({ opacityProperty: true, visibilityProperty: true });
  // what is left of a rectangle behind every box above it that cuts off or scrolls
  const shown = (rect, element) => {
    let { left, top, right, bottom } = rect;
    for (let up = element; up && up !== root; up = up.parentElement) {
      const style = getComputedStyle(up);
      const cuts = style.overflowX !== 'visible' || style.overflowY !== 'visible';
      if (!cuts && !style.clipPath.startsWith('inset')) continue;
      const box = up.getBoundingClientRect();
      left = Math.max(left, box.left); right = Math.min(right, box.right);
      top = Math.max(top, box.top); bottom = Math.min(bottom, box.bottom);
      if (style.clipPath.startsWith('inset(50%') || (box.width <= 1 && box.height <= 1)) return null;
    }
    return right - left > 1 && bottom - top > 1 ? { left, top, right, bottom } : null;
  };
  const scrolls = (element) => {
    for (let up = element; up && up !== root; up = up.parentElement) {
      if (['auto', 'scroll'].includes(getComputedStyle(up).overflowX)) return true;
    }
    return false;
  };
  const afloat = (element) => {
    for (let up = element; up && up !== root; up = up.parentElement) {
      if (['fixed', 'sticky'].includes(getComputedStyle(up).position) || up.tagName === 'DIALOG') return up;
    }
    return null;
  };
  const pieces = [];
  for (const element of document.body.querySelectorAll('*')) {
    if (!seen(element) || ['SCRIPT', 'STYLE', 'OPTION'].includes(element.tagName)) continue;
    const style = getComputedStyle(element);
    const own = [...element.childNodes].filter((node) => node.nodeType === 3 && node.textContent.trim());
    const typed = element.tagName === 'INPUT' && ['text', 'number', 'search', ''].includes(element.type);
    if ((typed || element.tagName === 'SELECT') && shown(element.getBoundingClientRect(), element)) {
      if (element.scrollWidth > element.clientWidth + 1) {
        say('cut off', element, `${element.scrollWidth} px in ${element.clientWidth}`);
      }
      continue;
    }
    if (!own.length || !shown(element.getBoundingClientRect(), element)) continue;
    if (['hidden', 'clip'].includes(style.overflowX) && element.clientWidth > 1
        && element.scrollWidth > element.clientWidth + 1) {
      say('cut off', element, `${element.scrollWidth} px in ${element.clientWidth}`);
    }
    if (['hidden', 'clip'].includes(style.overflowY) && element.clientHeight > 1
        && element.scrollHeight > element.clientHeight + 2) {
      say('cut off below', element, `${element.scrollHeight} px in ${element.clientHeight}`);
    }
    const layer = afloat(element);
    for (const node of own) {
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        const left = shown(rect, element);
        if (left) pieces.push({ element, layer, ...left });
        else if (rect.width > 1 && rect.right > window.innerWidth && !scrolls(element)) say('outside', element);
      }
    }
  }
  const told = new Set();
  for (let i = 0; i < pieces.length; i++) {
    for (let j = i + 1; j < pieces.length; j++) {
      const a = pieces[i], b = pieces[j];
      if (a.element === b.element || a.layer !== b.layer) continue;
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      // rectangles of lines hold room above and below the letters
      if (wide > 2 && high > 0.35 * Math.min(a.bottom - a.top, b.bottom - b.top)) {
        const words = [a, b].map((one) => one.element.textContent.trim().slice(0, 40)).join('" over "');
        if (!told.has(words)) wrong.push(`overlap: "${words}"`);
        told.add(words);
      }
    }
  }
  return wrong;
}"""

_CONTROLS = {
    "button", "checkbox", "combobox", "link", "listbox", "menuitem", "radio", "scrollbar", "searchbox", "slider",
    "spinbutton", "switch", "tab", "textbox", "img", "image", "table", "grid", "dialog", "progressbar", "radiogroup",
    "application", "figure", "Canvas",
}  # fmt: skip


def badly_drawn(page: Any) -> list[str]:
    """Text that is cut off, outside the window or over other text; a page wider than its window."""
    found: list[str] = page.evaluate(_LOOK)
    return found


def unnamed_controls(page: Any) -> list[str]:
    """Nodes of the accessibility tree that one can use or look at and that have no name."""
    session = page.context.new_cdp_session(page)
    try:
        nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    finally:
        session.detach()
    wrong = []
    for node in nodes:
        role = node.get("role", {}).get("value", "")
        if node.get("ignored") or role not in _CONTROLS:
            continue
        if not node.get("name", {}).get("value", "").strip():
            wrong.append(f"{role} without a name (node {node.get('backendDOMNodeId')})")
    return wrong


def serious_violations(page: Any, *, colours_only: bool = False) -> list[str]:
    """What axe-core calls serious or critical, each with the first places. It is put into a page once, and hands out
    what is violated only: its account of all that it found right takes longer than to find it.

    colours_only  of its rules those on colours, for a page whose structure was looked at in another theme
    """
    from axe_playwright_python.sync_playwright import Axe

    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    rules = ", runOnly: { type: 'tag', values: ['cat.color'] }" if colours_only else ""
    found = page.evaluate(f"axe.run({{ resultTypes: ['violations']{rules} }}).then((all) => all.violations)")
    return [
        f"{rule['id']} ({rule['impact']}): {rule['help']}: "
        + " | ".join(f"{node['html'][:140]} {_measured(node)}" for node in rule["nodes"][:4])
        for rule in found
        if rule["impact"] in ("serious", "critical")
    ]


def _measured(node: dict[str, Any]) -> str:
    """The contrast axe measured, where that was the fault."""
    for check in node.get("any", []):
        data = check.get("data")
        if isinstance(data, dict) and "contrastRatio" in data:
            return f"[{data['fgColor']} on {data['bgColor']}: {data['contrastRatio']}]"
    return ""
