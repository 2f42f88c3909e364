// What the server hands to the map. x, y: metres on a local grid (grid = true) or longitude, latitude in degrees.

export interface Ring { x: number; y: number; radius_m: number; label: string }
export interface Place { mark: string; name: string; x: number | null; y: number | null; state: string; words: string; kind: string }
export interface Move { from: [number, number]; to: [number, number]; words: string }
export interface MapData { grid: boolean; rings: Ring[]; places: Place[]; moves: Move[] }
export type Placed = Place & { x: number; y: number };

/** Whether a place has a position that can be drawn. */
export function isPlaced(place: Place): place is Placed {
  return Number.isFinite(place.x) && Number.isFinite(place.y) && place.x !== null && place.y !== null;
}

/** The data of a map element: from the address in data-source, else from the JSON element #map-data. */
export async function readData(element: HTMLElement): Promise<MapData> {
  const source = element.dataset["source"];
  if (source) {
    const answer = await fetch(source, { credentials: "same-origin", headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
    return complete(await answer.json());
  }
  const text = document.getElementById("map-data")?.textContent;
  if (!text) throw new Error("the page holds no map data");
  return complete(JSON.parse(text));
}

function complete(given: Partial<MapData>): MapData {
  return { grid: given.grid === true, rings: given.rings ?? [], places: given.places ?? [], moves: given.moves ?? [] };
}
