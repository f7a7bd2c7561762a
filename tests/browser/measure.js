// Runs in the page that holds the frames; writes what it finds into #found as JSON.
function luminance([r, g, b]) {
  const channel = (c) => ((c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
  return 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
}
function contrast(a, b) {
  const [x, y] = [luminance(a), luminance(b)];
  return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05);
}
function rgb(text) {
  const numbers = text.match(/[\d.]+/g)?.map(Number) ?? [];
  return numbers.length >= 3 && (numbers[3] ?? 1) > 0 ? numbers.slice(0, 3) : null;
}
function ground(element, view) {
  for (let at = element; at; at = at.parentElement) {
    const colour = rgb(view.getComputedStyle(at).backgroundColor);
    if (colour) return colour;
  }
  return [255, 255, 255];
}
// The shapes of a chart that lie under the middle of a text and fill it.
function grounds(text, svg, view) {
  const box = text.getBoundingClientRect();
  const found = [];
  for (const shape of svg.querySelectorAll("rect,polygon")) {
    if (shape.closest("pattern")) continue;
    const b = shape.getBoundingClientRect();
    const style = view.getComputedStyle(shape);
    const colour = rgb(style.fill);
    const covers = b.left < box.right && b.right > box.left && b.top < box.bottom && b.bottom > box.top;
    if (covers && shape.tagName === "rect" && colour && style.fillOpacity === "1") found.push(colour);
  }
  return found;
}
function charts(view, faults) {
  let texts = 0;
  for (const svg of view.document.querySelectorAll("svg")) {
    if (svg.getClientRects().length === 0) continue;
    const frame = svg.getBoundingClientRect();
    const name = svg.querySelector("title").id;
    const boxes = [...svg.querySelectorAll("text")].map((t) => [t, t.getBoundingClientRect()]);
    texts += boxes.length;
    boxes.forEach(([text, a], i) => {
      const words = text.textContent;
      if (a.left < frame.left - 1 || a.right > frame.right + 1 || a.top < frame.top - 1 || a.bottom > frame.bottom + 1)
        faults.push(`${name}: "${words}" leaves the picture`);
      // The box of a line of type is higher than its letters: a fifth may overlap.
      const slack = 0.22 * a.height;
      for (const [other, b] of boxes.slice(i + 1)) {
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > 1 && down > slack) faults.push(`${name}: "${words}" overlaps "${other.textContent}"`);
      }
      const colour = rgb(view.getComputedStyle(text).fill);
      for (const under of [ground(svg, view), ...grounds(text, svg, view)])
        if (contrast(colour, under) < 4.5) faults.push(`${name}: "${words}" has contrast ${contrast(colour, under).toFixed(2)}`);
    });
  }
  return texts;
}
function prose(view, faults) {
  let texts = 0;
  const walk = view.document.createTreeWalker(view.document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const holder = node.parentElement;
    if (!node.data.trim() || holder.closest("svg")) continue;
    texts += 1;
    const colour = rgb(view.getComputedStyle(holder).color);
    const ratio = contrast(colour, ground(holder, view));
    if (ratio < 4.5) faults.push(`"${node.data.slice(0, 40)}" has contrast ${ratio.toFixed(2)}`);
    const range = view.document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    const hidden = holder.closest("thead") && view.getComputedStyle(holder.closest("thead")).position === "absolute";
    const column = view.document.querySelector("main").getBoundingClientRect();
    if (!hidden && (box.right > column.right + 1 || box.left < column.left - 1)) faults.push(`"${node.data.slice(0, 40)}" runs out of the column`);
  }
  return texts;
}
window.addEventListener("load", () => {
  const found = [...document.querySelectorAll("iframe")].map((frame) => {
    const view = frame.contentWindow;
    const root = view.document.documentElement;
    const faults = [];
    const texts = charts(view, faults) + prose(view, faults);
    if (root.scrollWidth > frame.clientWidth) faults.push(`the page is ${root.scrollWidth} px wide`);
    const fetched = view.performance.getEntriesByType("resource").map((entry) => entry.name);
    if (fetched.length) faults.push(`fetches ${fetched.join(", ")}`);
    const theme = luminance(ground(view.document.body, view)) < 0.2 ? "dark" : "light";
    return { width: frame.clientWidth, theme, texts, faults };
  });
  document.getElementById("found").textContent = JSON.stringify(found);
});
