// Maps: drawn from the list beside them, and a form's pins. Without scripts the list and the fields do.

const L = window.L;
const { gridLines, spacing } = await import(document.querySelector("script[data-grid]").dataset.grid);

// no sign stands under the buttons, which are upper left, nor under north and scale
const ROOM = { paddingTopLeft: [76, 48], paddingBottomRight: [48, 44] };

// A map in an element, on tiles where the installation has some, else on a metric grid counted from `from()`.
function sheet(element, { units, tiles, tilesBy }, from, said) {
  const map = L.map(element, { attributionControl: Boolean(tiles), zoomSnap: 0.5, minZoom: 0, maxZoom: tiles ? 19 : 22, fadeAnimation: false, zoomAnimation: false, markerZoomAnimation: false, inertia: false, worldCopyJump: false });
  L.control.scale({ metric: units !== "feet", imperial: units === "feet" }).addTo(map);
  const north = L.control({ position: "topright" });
  north.onAdd = () => {
    const box = L.DomUtil.create("div", "map-north");
    box.innerHTML = '<svg viewBox="0 0 20 34" width="20" height="34" role="img" aria-label="North is up"><path d="M10 1 15 14H5ZM10 14V22" fill="currentColor" stroke="currentColor"/><text x="10" y="33" text-anchor="middle" font-size="12" fill="currentColor">N</text></svg>';
    return box;
  };
  north.addTo(map);
  if (tiles) {
    map.attributionControl.setPrefix(false);
    const words = document.createElement("span");
    words.textContent = tilesBy;
    // who serves tiles wants to know the site that asks; the page and what it shows are nobody's business
    L.tileLayer(tiles, { attribution: words.innerHTML, maxZoom: 19, referrerPolicy: "origin" }).addTo(map);
    return map;
  }
  map.createPane("grid").style.zIndex = 200;
  const grid = L.layerGroup().addTo(map);
  const draw = () => {
    const middle = map.getSize().divideBy(2);
    const perPixel = map.distance(map.containerPointToLatLng(middle), map.containerPointToLatLng(middle.add([100, 0]))) / 100;
    const bounds = map.getBounds();
    const [step, words] = spacing(perPixel, units);
    grid.clearLayers();
    const shown = { south: bounds.getSouth(), west: bounds.getWest(), north: bounds.getNorth(), east: bounds.getEast() };
    for (const line of gridLines(shown, from(), step)) L.polyline(line, { pane: "grid", className: "map-line", interactive: false, smoothFactor: 0 }).addTo(grid);
    if (said) said.textContent = `A square of the grid is ${words} wide.`;
  };
  map.on("moveend", draw);
  return map;
}

// aside: where the sign stands from its place, in px, where another sign stands there already
function sign(kind, words, aside = { x: 0, y: 0 }) {
  return L.divIcon({ className: "map-spot", html: `<b class="map-sign map-${kind}" aria-hidden="true">${words}</b>`, iconSize: [44, 44], iconAnchor: [22 - aside.x, 22 - aside.y] });
}
const APART_PX = 40;
const ASIDE = [[0, 0], ...[1, 2].flatMap((ring) => [[1, 0], [-1, 0], [0, 1], [0, -1], [0.71, 0.71], [-0.71, 0.71], [0.71, -0.71], [-0.71, -0.71]].map(([x, y]) => [44 * ring * x, 44 * ring * y]))];
const LETTERS = { door: "D", parking: "P" };

function draw(element) {
  const items = [...document.querySelectorAll(`#${element.dataset.map} [data-at]`)];
  const points = items.map((item) => item.dataset.at.split(" ").map(Number));
  element.closest("[hidden]")?.removeAttribute("hidden");
  const map = sheet(element, element.dataset, () => points[0], element.parentElement.querySelector("[data-map-grid]"));
  map.fitBounds(points, { ...ROOM, maxZoom: 18 });
  if (element.dataset.route !== undefined) {
    const way = points.filter((_, i) => items[i].dataset.kind === "place");
    L.polyline(way, { className: "map-way", interactive: false }).addTo(map);
  }
  const markers = items.map((item, i) => {
    const { kind, number, called, there } = item.dataset;
    const marker = L.marker(points[i], { icon: sign(kind, LETTERS[kind] ?? number), title: called, riseOnHover: true }).addTo(map);
    const words = document.createElement(there ? "a" : "span");
    words.textContent = called;
    words.dir = "auto";
    if (there) words.href = there;
    marker.bindPopup(words);
    marker.on("popupopen", () => words.focus());
    marker.on("popupclose", () => marker.getElement()?.focus());
    return marker;
  });
  const leaders = L.layerGroup().addTo(map);
  // a sign put aside stays on the sheet, and out from under the buttons in its corner
  const bare = (spot) => {
    const { x, y } = map.layerPointToContainerPoint(spot), size = map.getSize();
    return x > 22 && y > 22 && x < size.x - 22 && y < size.y - 22 && (x > 76 || y > 124);
  };
  const spread = () => {
    leaders.clearLayers();
    const taken = [];
    markers.forEach((marker, i) => {
      const { kind, number } = items[i].dataset, at = map.latLngToLayerPoint(points[i]);
      const put = ASIDE.map((by) => at.add(by)).find((spot) => bare(spot) && taken.every((other) => other.distanceTo(spot) >= APART_PX)) ?? at;
      taken.push(put);
      marker.setIcon(sign(kind, LETTERS[kind] ?? number, put.subtract(at)));
      if (put !== at && put.distanceTo(at) > 1) L.polyline([points[i], map.layerPointToLatLng(put)], { className: "map-leader", interactive: false }).addTo(leaders);
    });
  };
  map.on("zoomend", spread);
  spread();
}

function pins(pattern) {
  const boxes = (of) => ["latitude_deg", "longitude_deg"].map((name) => document.getElementById(of + name));
  const number = (box) => box.value.trim() === "" ? NaN : Number(box.value.trim().replace(",", ".").replace("°", "").replace("−", "-"));
  const where = (of) => { const at = boxes(of).map(number); return at.every(Number.isFinite) && Math.abs(at[0]) <= 85 && Math.abs(at[1]) <= 180 ? at : null; };
  const figure = pattern.content.firstElementChild.cloneNode(true);
  boxes("")[1].closest(".field").after(figure);
  const tell = (words) => { figure.querySelector("[data-pin-said]").textContent = words; };
  const kinds = { "": "place", "door_at-": "door", "parking_at-": "parking" };
  const start = () => Object.keys(kinds).map(where).find(Boolean) ?? [0, 0];
  // a bare grid of the whole earth helps nobody: without tiles the map is folded until there is a place to show
  const folded = [".map", "fieldset", "[data-pin-middle]", "[data-pin-how]"].map((one) => figure.querySelector(one));
  const fold = (on) => { for (const one of folded) one.hidden = on; figure.querySelector("[data-pin-folded]").hidden = !on; };
  fold(!pattern.dataset.tiles && !Object.keys(kinds).some(where));
  const map = sheet(figure.querySelector(".map"), pattern.dataset, start, figure.querySelector("[data-map-grid]"));
  const unfold = (at) => {
    if (!folded[0].hidden) return;
    fold(false);
    map.invalidateSize();
    map.setView(at, 17);
  };
  const markers = {};
  const set = (of, at) => {
    boxes(of).forEach((box, i) => { box.value = String(Number((i ? L.Util.wrapNum(at[1], [-180, 180], true) : at[0]).toFixed(6))); box.dispatchEvent(new Event("input", { bubbles: true })); });
    tell(`${kinds[of][0].toUpperCase()}${kinds[of].slice(1)}: ${boxes(of).map((box) => box.value).join(", ")}`);
  };
  const show = (of) => {
    const at = where(of);
    markers[of]?.remove();
    delete markers[of];
    if (!at) return;
    unfold(at);
    const kind = kinds[of];
    const marker = L.marker(at, { icon: sign(kind, LETTERS[kind] ?? "1"), title: `Pin of the ${kind}`, draggable: true, autoPan: true }).addTo(map);
    marker.getElement().addEventListener("focus", () => marker.setZIndexOffset(1000)); // above a pin that lies over it
    marker.getElement().addEventListener("blur", () => marker.setZIndexOffset(0));
    marker.on("dragend", () => { const { lat, lng } = marker.getLatLng(); set(of, [lat, lng]); });
    marker.on("click", () => { figure.querySelector(`[name=pin][value="${of}"]`).checked = true; });
    markers[of] = marker;
  };
  const chosen = () => figure.querySelector("[name=pin]:checked").value;
  const seen = Object.keys(kinds).map(where).filter(Boolean);
  if (seen.length) map.fitBounds(seen, { ...ROOM, maxZoom: 18 }); else map.setView([0, 0], 1);
  for (const of of Object.keys(kinds)) {
    show(of);
    for (const box of boxes(of)) {
      box.addEventListener("input", () => { show(of); });
      box.addEventListener("change", () => { const at = where(of); if (at && !map.getBounds().contains(at)) map.setView(at, 17); });
      box.addEventListener("paste", (event) => {
        const pair = /^\s*(?:geo:)?([-−]?\d{1,2}(?:\.\d+)?)\s*°?\s*[,; ]\s*([-−]?\d{1,3}(?:\.\d+)?)\s*°?\s*(?:[;?].*)?$/.exec(event.clipboardData.getData("text"));
        if (!pair) return;
        event.preventDefault();
        set(of, pair.slice(1).map((text) => Number(text.replace("−", "-"))));
        map.setView(where(of) ?? [0, 0], 17);
      });
    }
  }
  map.on("click", ({ latlng }) => { set(chosen(), [latlng.lat, latlng.lng]); });
  figure.querySelector("[data-pin-middle]").addEventListener("click", () => { const { lat, lng } = map.getCenter(); set(chosen(), [lat, lng]); });
  const here = figure.querySelector("[data-pin-here]");
  here.hidden = !navigator.geolocation || !isSecureContext;
  here.addEventListener("click", () => {
    tell("Looking …");
    navigator.geolocation.getCurrentPosition(({ coords }) => {
      set(chosen(), [coords.latitude, coords.longitude]);
      map.setView([coords.latitude, coords.longitude], 17);
      tell(`Found, give or take ${Math.round(coords.accuracy)} m`);
    }, () => tell("Not allowed, or no sky here."), { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 });
  });
}

if (L) {
  for (const element of document.querySelectorAll("[data-map]")) {
    const fold = element.closest("details:not([open])");
    if (fold) fold.addEventListener("toggle", () => draw(element), { once: true }); else draw(element);
  }
  const pattern = document.querySelector("[data-pin-map]");
  if (pattern) pins(pattern);
}
