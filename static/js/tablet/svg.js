// Drawing within a page: SVG elements made one by one, so that no text of a job is ever read as markup.

const SVG = "http://www.w3.org/2000/svg";

/** An element with its attributes; what is null or undefined among them or the children is left out. */
export function svg(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) made.setAttribute(key, typeof value === "number" ? rounded(value) : value);
  }
  made.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return made;
}

export const line = (x1, y1, x2, y2, attributes) => svg("line", { x1, y1, x2, y2, ...attributes });
export const rect = (x, y, width, height, attributes) => svg("rect", { x, y, width, height, ...attributes });
export const words = (text, x, y, attributes) => svg("text", { x, y, ...attributes }, text);

const rounded = (value) => String(Math.round(value * 100) / 100);
