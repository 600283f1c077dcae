/* What does the browser draw? An expression: an object of measuring functions, called by measure.py. */
(() => {
  const parse = (text) => {
    const [r, g, b, a = 1] = text.match(/[\d.]+/g).map(Number);
    return { r, g, b, a };
  };
  const light = ({ r, g, b }) => {
    const [x, y, z] = [r, g, b].map((part) => {
      const share = part / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ratio = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const ground = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const colour = parse(getComputedStyle(at).backgroundColor);
      if (colour.a === 1) return colour;
      if (colour.a > 0) throw new Error(`half transparent ground on ${at.className}`);
    }
    return { r: 255, g: 255, b: 255 };
  };
  const seen = (node) =>
    node.checkVisibility({ visibilityProperty: true, opacityProperty: true }) &&
    !node.closest(".skip, .shapes") &&
    node.getClientRects().length > 0;
  const says = (node) => node.textContent.trim().replace(/\s+/g, " ").slice(0, 40);
  const name = (node) => `${node.tagName.toLowerCase()}.${node.getAttribute("class") ?? ""}: ${says(node)}`;
  const hasWords = (node) =>
    Array.from(node.childNodes).some((child) => child.nodeType === Node.TEXT_NODE && child.textContent.trim());
  const all = (selector) => Array.from(document.querySelectorAll(selector)).filter(seen);
  const DRAWN = ["color", "backgroundColor", "borderTopColor", "borderLeftColor", "outlineColor", "fill", "stroke"];

  return {
    textContrasts: () =>
      all("body *").flatMap((node) => {
        const found = [];
        if (hasWords(node)) found.push([ratio(parse(getComputedStyle(node).color), ground(node)), name(node)]);
        if (node.placeholder) {
          const example = parse(getComputedStyle(node, "::placeholder").color);
          found.push([ratio(example, ground(node)), `${name(node)}${node.placeholder}`]);
        }
        return found;
      }),
    edgeContrasts: (selector) =>
      all(selector).map((node) => {
        const round = ground(node.parentElement);
        const edge = parse(getComputedStyle(node).borderTopColor);
        return [Math.max(ratio(edge, round), ratio(ground(node), round)), name(node)];
      }),
    ringContrast: () => {
      const node = document.activeElement;
      const style = getComputedStyle(node);
      if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) return 0;
      return ratio(parse(style.outlineColor), ground(node.parentElement));
    },
    boxes: (selector) =>
      all(selector).map((node) => {
        const { x, y, width, height } = node.getBoundingClientRect();
        return { what: name(node), x, y: y + scrollY, width, height };
      }),
    fontSizes: (selector) =>
      all(selector)
        .filter(hasWords)
        .map((node) => [parseFloat(getComputedStyle(node).fontSize), name(node)]),
    coloursOutside: (exempt) =>
      Array.from(document.querySelectorAll("body, body *"))
        .filter((node) => !node.closest(exempt))
        .flatMap((node) =>
          DRAWN.map((kind) => [getComputedStyle(node)[kind], `${kind} of ${name(node)}`])
            .filter(([colour]) => /^rgb/.test(colour) && parse(colour).a > 0)
            .map(([colour, what]) => [[parse(colour).r, parse(colour).g, parse(colour).b], what]),
        ),
    sideways: () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  };
})()
