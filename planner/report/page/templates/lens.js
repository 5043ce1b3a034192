// From a photo of a lid to centimetres on it: the projective map that takes its four corners to those of the lid.

// The map of the unit square to a quadrilateral, row by row (Heckbert 1989, section 2.2.3); ``q``: the images of
// (0,0), (1,0), (1,1), (0,1).
function squareTo([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const sx = x0 - x1 + x2 - x3, sy = y0 - y1 + y2 - y3;
  const dx1 = x1 - x2, dx2 = x3 - x2, dy1 = y1 - y2, dy2 = y3 - y2;
  const whole = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / whole;
  const h = (dx1 * sy - sx * dy1) / whole;
  return [x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h, 1];
}

// The inverse but for a factor, which a projective map does not feel: the adjugate.
function inverse([a, b, c, d, e, f, g, h, i]) {
  return [e * i - f * h, c * h - b * i, b * f - c * e, f * g - d * i, a * i - c * g, c * d - a * f, d * h - e * g, b * g - a * h, a * e - b * d];
}

function mapped([a, b, c, d, e, f, g, h, i], [x, y]) {
  const w = g * x + h * y + i;
  return [(a * x + b * y + c) / w, (d * x + e * y + f) / w];
}

// Four corners tapped in any order, as the lid's: near left, near right, far right, far left. In a picture y goes
// down, so "near" is low. Null where they are no corners of a lid seen at an angle: one lies within the others. Of a
// ``rim``: its near, right, far and left end.
function inOrder(corners, rim) {
  const middle = [0, 1].map((k) => corners.reduce((sum, p) => sum + p[k], 0) / 4);
  const round = [...corners].sort((p, q) => Math.atan2(q[1] - middle[1], q[0] - middle[0]) - Math.atan2(p[1] - middle[1], p[0] - middle[0]));
  const turn = (k) => {
    const [p, q, r] = [0, 1, 2].map((n) => round[(k + n) % 4]);
    return (q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0]);
  };
  if (![0, 1, 2, 3].every((k) => turn(k) < -1)) return null;
  const far = (p) => (rim ? 0 : p[0]) - p[1];
  const first = round.reduce((best, p, k) => (far(p) < far(round[best]) ? k : best), 0);
  return [0, 1, 2, 3].map((k) => round[(first + k) % 4]);
}
