// A metric grid in place of map tiles: lines so many metres apart, counted from one point of the map.

// The length of a degree of latitude and of one of longitude on WGS 84 [m], by the usual series in the latitude.
export function metresPerDegree(latitude) {
  const phi = latitude * Math.PI / 180;
  return [
    111132.954 - 559.822 * Math.cos(2 * phi) + 1.175 * Math.cos(4 * phi),
    111412.84 * Math.cos(phi) - 93.5 * Math.cos(3 * phi) + 0.118 * Math.cos(5 * phi),
  ];
}

const FOOT_M = 0.3048, MILE_M = 1609.344;

// The distance between lines, round in the reader's unit, of which `pixels` take at least 70: [metres, words].
export function spacing(metresPerPixel, units) {
  const wanted = 70 * metresPerPixel;
  const feet = units === "feet", far = wanted > (feet ? 0.2 * MILE_M : 700);
  const unit = feet ? (far ? MILE_M : FOOT_M) : far ? 1000 : 1;
  const power = 10 ** Math.floor(Math.log10(wanted / unit));
  const count = [1, 2, 5, 10].find((one) => one * power * unit >= wanted) * power;
  const number = Number(count.toPrecision(1));
  return [number * unit, `${number} ${feet ? (far ? "mi" : "ft") : far ? "km" : "m"}`];
}

// Lines of the grid that cross what is shown, as pairs of [latitude, longitude].
export function gridLines(bounds, from, step) {
  const [north, east] = metresPerDegree(from[0]);
  const lines = [];
  const { south, west, north: top, east: right } = bounds;
  const along = (low, high, start, size, make) => {
    if (!(size > 0) || (high - low) / size > 60) return;
    for (let i = Math.ceil((low - start) / size); start + i * size <= high; i += 1) lines.push(make(start + i * size));
  };
  along(south, top, from[0], step / north, (at) => [[at, west], [at, right]]);
  along(west, right, from[1], step / east, (at) => [[south, at], [top, at]]);
  return lines;
}
