// A part that scrolls sideways by itself can be reached and scrolled with the
// keyboard, and has the name of what it holds; a part that fits is left alone.
export function reachable(node: HTMLElement) {
  const look = () => {
    const wide = node.scrollWidth > node.clientWidth + 1;
    const name = node.querySelector('caption')?.textContent ?? node.closest('section')?.querySelector('h2, h3')?.textContent ?? '';
    for (const [key, value] of [['tabindex', '0'], ['role', 'region'], ['aria-label', name.trim()]] as const) {
      if (wide) node.setAttribute(key, value);
      else node.removeAttribute(key);
    }
  };
  const again = new ResizeObserver(look);
  again.observe(node);
  if (node.firstElementChild) again.observe(node.firstElementChild);
  return { destroy: () => again.disconnect() };
}
