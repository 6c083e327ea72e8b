// Where words go in a drawing, so that none lies on another: each has places it may take, the best first.

const TALL = 15; // of a line of words, in units of the drawing, whose letters are 14 high
const WIDE = 8.2; // of a letter, on the whole

const boxOf = ([x, y], wide) => [x - wide / 2, y - TALL / 2, x + wide / 2, y + TALL / 2];
const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

// whether a stretch passes through a box (Liang and Barsky)
export function crosses([[ax, ay], [bx, by]], [left, top, right, low]) {
  let [from, to] = [0, 1];
  for (const [step, room] of [[ax - bx, ax - left], [bx - ax, right - ax], [ay - by, ay - top], [by - ay, low - ay]]) {
    if (step === 0 && room < 0) return false;
    if (step < 0) from = Math.max(from, room / step);
    if (step > 0) to = Math.min(to, room / step);
  }
  return from <= to;
}

// labels: {words, tries: places of their middles, must: it is shown whatever it lies on}. lines: what they had better not
// lie on. dots: [x, y, reach] that they may not. within: [width, height]. Returns {words, at} of those that found room.
export function placed(labels, { lines = [], dots = [], within: [wide, high] }) {
  const boxes = dots.map(([x, y, reach]) => [x - reach, y - reach, x + reach, y + reach]);
  return labels.flatMap(({ words, tries, must }) => {
    const [best] = tries.map((at, turn) => {
      const box = boxOf(at, words.length * WIDE);
      const out = box[0] < 0 || box[1] < 0 || box[2] > wide || box[3] > high;
      const hit = boxes.filter((other) => meet(box, other)).length + (out ? 3 : 0);
      return { at, box, hit, worth: 100 * hit + 10 * lines.filter((line) => crosses(line, box)).length + turn / 100 };
    }).sort((a, b) => a.worth - b.worth);
    if (best.hit && !must) return [];
    boxes.push(best.box);
    return [{ words, at: best.at }];
  });
}
