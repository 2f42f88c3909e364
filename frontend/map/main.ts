// The map of a case: places by state, zone rings and moves on blank paper. No outside tiles, no inline style or script.

import * as L from "leaflet";
import "leaflet/dist/leaflet.css";
import "./map.css";
import { isPlaced, readData, type MapData, type Move, type Placed, type Ring } from "./contract";
import { arrow, shape, stateName } from "./shapes";

const MANY = 80; // above this many places the marks beside the shapes would cover each other

const at = (x: number, y: number): L.LatLngTuple => [y, x];

function words(...lines: string[]): HTMLElement {
  const box = document.createElement("div");
  for (const text of lines.filter(Boolean)) {
    const row = document.createElement("div");
    row.textContent = text;
    box.append(row);
  }
  return box;
}

function icon(content: Element, size: number, className: string): L.DivIcon {
  const box = document.createElement("div");
  box.append(content);
  return L.divIcon({ html: box, className, iconSize: [size, size] });
}

function addPlace(map: L.Map, place: Placed, marked: boolean): void {
  const look = icon(shape(place.state, place.kind), 20, "map-place");
  if (marked) {
    const mark = document.createElement("span");
    mark.textContent = place.mark;
    (look.options.html as HTMLElement).append(mark);
  }
  const lines = [`${place.mark} ${place.name}`.trim(), [place.kind, place.state].filter(Boolean).join(", "), place.words];
  const above = ["index", "confirmed", "case"].includes(stateName(place.state, place.kind)) ? 1000 : 0;
  const marker = L.marker(at(place.x, place.y), { icon: look, riseOnHover: true, zIndexOffset: above });
  marker.bindTooltip(words(...lines), { direction: "top", offset: [0, -10] }).addTo(map);
  marker.getElement()?.setAttribute("aria-label", lines.filter(Boolean).join("; "));
}

function addRing(map: L.Map, ring: Ring): void {
  const circle = L.circle(at(ring.x, ring.y), { radius: ring.radius_m, className: "map-ring", interactive: false }).addTo(map);
  const label = L.divIcon({ html: words(ring.label), className: "map-label", iconSize: [120, 16], iconAnchor: [60, 17] });
  L.marker([circle.getBounds().getNorth(), ring.x], { icon: label, interactive: false, keyboard: false }).addTo(map);
}

function addMove(map: L.Map, move: Move): void {
  const [from, to] = [map.project(at(...move.from)), map.project(at(...move.to))];
  L.polyline([at(...move.from), at(...move.to)], { className: "map-move" }).bindTooltip(words(move.words), { sticky: true }).addTo(map);
  if (from.equals(to)) return;
  const degrees = (Math.atan2(to.x - from.x, from.y - to.y) * 180) / Math.PI;
  const middle = map.unproject(from.add(to).divideBy(2));
  L.marker(middle, { icon: icon(arrow(degrees), 16, "map-arrow"), keyboard: false, zIndexOffset: -1000 })
    .bindTooltip(words(move.words), { direction: "top" })
    .addTo(map);
}

function corner(position: L.ControlPosition, className: string, content: Element[]): L.Control {
  const control = new L.Control({ position });
  control.onAdd = () => {
    const box = L.DomUtil.create("div", className);
    box.append(...content);
    return box;
  };
  return control;
}

function legend(places: Placed[]): Element[] {
  const first = new Map(places.map((place) => [stateName(place.state, place.kind), place]));
  return [...first].sort(([a], [b]) => a.localeCompare(b)).map(([name, place]) => {
    const row = document.createElement("div");
    row.append(shape(place.state, place.kind, 16), ` ${name}`);
    return row;
  });
}

function extent(data: MapData, places: Placed[]): L.LatLngBounds {
  const bounds = L.latLngBounds(places.map((place) => at(place.x, place.y)));
  for (const move of data.moves) bounds.extend(at(...move.from)).extend(at(...move.to));
  for (const ring of data.rings) {
    const north = ring.radius_m / (data.grid ? 1 : 111_320);
    const east = data.grid ? north : north / Math.max(0.01, Math.cos((ring.y * Math.PI) / 180));
    bounds.extend(at(ring.x - east, ring.y - north)).extend(at(ring.x + east, ring.y + north));
  }
  return bounds.isValid() ? bounds : L.latLngBounds([at(0, 0)]);
}

function notes(data: MapData): Element[] {
  const unplaced = data.places.filter((place) => !isPlaced(place)).map((place) => place.mark);
  const told = data.rings.length ? ["The list, not this picture, decides what lies inside a ring."] : [];
  if (unplaced.length) told.push(`Unplaced, confirm: ${unplaced.join(", ")}.`);
  return told.length ? [words(...told)] : [];
}

/** Draws the data into the element. */
export function drawMap(element: HTMLElement, data: MapData): L.Map {
  const range = data.grid ? { crs: L.CRS.Simple, minZoom: -12, maxZoom: 3 } : { crs: L.CRS.EPSG3857, minZoom: 2, maxZoom: 19 };
  const map = L.map(element, { ...range, zoomSnap: 0.25, attributionControl: false });
  const places = data.places.filter(isPlaced);
  map.fitBounds(extent(data, places), { padding: [30, 30], maxZoom: data.grid ? 1 : 16, animate: false });
  for (const ring of data.rings) addRing(map, ring);
  for (const move of data.moves) addMove(map, move);
  for (const place of places) addPlace(map, place, places.length <= MANY);
  L.control.scale({ imperial: false, maxWidth: 140 }).addTo(map);
  if (places.length) corner("topright", "map-legend", legend(places)).addTo(map);
  const remarks = notes(data);
  if (remarks.length) corner("bottomright", "map-note", remarks).addTo(map);
  return map;
}

async function start(element: HTMLElement): Promise<void> {
  try {
    drawMap(element, await readData(element));
    element.dataset["ready"] = "yes";
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    const told = words(`The map could not be drawn: ${reason}. The tables on this page are complete without it.`);
    told.setAttribute("role", "alert");
    element.replaceChildren(told);
    element.dataset["ready"] = "no";
  }
}

const element = document.getElementById("map");
if (element) void start(element);
