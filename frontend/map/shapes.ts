// One shape for each state, told apart in black and white and by red light. Colour carries nothing.

const SVG = "http://www.w3.org/2000/svg";
type Part = [tag: string, attributes: Record<string, string>];

const paper = { fill: "var(--paper, #fff)", stroke: "currentColor" };
const ink = { fill: "currentColor", stroke: "currentColor" };
const line = { fill: "none", stroke: "currentColor" };
const knocked = { fill: "none", stroke: "var(--paper, #fff)" };
const circle = (r: number, look: Record<string, string>): Part => ["circle", { cx: "10", cy: "10", r: `${r}`, ...look }];
const path = (d: string, look: Record<string, string>): Part => ["path", { d, ...look }];

const SQUARE = "M3 3H17V17H3Z";
const DIAMOND = "M10 1L19 10L10 19L1 10Z";
const TRIANGLE = "M10 2L18.5 17H1.5Z";

/** State in words -> how it is drawn. The first entry whose words begin the state is taken. */
const SHAPES: [state: string, parts: Part[]][] = [
  ["index", [path("M10 0L12.9 7L20 7.6L14.6 12.3L16.3 19.5L10 15.6L3.7 19.5L5.4 12.3L0 7.6L7.1 7Z", ink)]],
  ["confirmed", [path(SQUARE, ink), path("M6 6L14 14M14 6L6 14", knocked)]],
  ["case", [path(SQUARE, ink), path("M6 6L14 14M14 6L6 14", knocked)]],
  ["suspect", [path(DIAMOND, paper), path("M10 1L19 10L10 19Z", ink)]],
  ["contact", [path(TRIANGLE, paper)]],
  ["exposed", [path(TRIANGLE, paper), path("M10 9V13", line)]],
  ["at risk", [path(DIAMOND, paper)]],
  ["standstill", [path(SQUARE, paper), path("M6 10H14", line)]],
  ["under inspection", [circle(8, paper), circle(3, ink)]],
  ["follow-up", [circle(8, paper), path("M10 2A8 8 0 0 1 10 18Z", ink)]],
  ["released", [circle(8, paper), path("M6 10L9 13.5L14.5 6.5", line)]],
  ["free-running", [circle(8, paper)]],
  ["abandoned", [path(SQUARE, { ...paper, "stroke-dasharray": "3 2" })]],
];
const HOUSE: Part[] = [path("M2 9L10 2L18 9V18H2Z", paper)];
const OTHER: Part[] = [circle(4, ink)];

/** The name under which a state stands in the legend: "Follow-up 2" and "follow-up 3" are both "follow-up". */
export function stateName(state: string, kind: string): string {
  const words = state.toLowerCase().replace(/_/g, " ").trim();
  const known = SHAPES.find(([name]) => words.startsWith(name));
  return known ? known[0] : words || kind.toLowerCase() || "no state recorded";
}

/** The shape of a state as an SVG element of `size` pixels. Places other than apiaries without a state are houses. */
export function shape(state: string, kind: string, size = 20): SVGSVGElement {
  const name = stateName(state, kind);
  const fallback = state || kind.toLowerCase() === "apiary" ? OTHER : HOUSE;
  return draw(SHAPES.find(([known]) => known === name)?.[1] ?? fallback, size);
}

/** An arrow head that points `degrees` clockwise from the top of the page. */
export function arrow(degrees: number): SVGSVGElement {
  return draw([path("M10 3L15 16L10 13L5 16Z", { ...ink, transform: `rotate(${degrees.toFixed(1)} 10 10)` })], 16);
}

function draw(parts: Part[], size: number): SVGSVGElement {
  const picture = document.createElementNS(SVG, "svg");
  const frame = { viewBox: "-1 -1 22 22", width: `${size}`, height: `${size}`, "stroke-width": "1.8", "aria-hidden": "true" };
  for (const [name, value] of Object.entries(frame)) picture.setAttribute(name, value);
  for (const [tag, attributes] of parts) {
    const part = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) part.setAttribute(name, value);
    picture.append(part);
  }
  return picture;
}
