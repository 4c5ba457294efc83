// The titre, exactly, from readings as typed: decimal figures, a point or a comma, summed over the fillings.

const FIGURE = /^\s*(\d+)(?:[.,](\d+))?\s*(?:mL)?\s*$/;

function scaled(text) {
  const found = FIGURE.exec(text ?? "");
  return found ? { digits: BigInt(found[1] + (found[2] ?? "")), places: (found[2] ?? "").length } : null;
}

// pairs: [initial, final] of each filling, as typed. Returns the titre as text, or "" while a reading is missing.
export function titre(pairs) {
  const read = pairs.map((pair) => pair.map(scaled));
  if (read.length === 0 || read.some((pair) => pair.includes(null))) return "";
  const places = Math.max(...read.flat().map((one) => one.places));
  const whole = (one) => one.digits * 10n ** BigInt(places - one.places);
  const sum = read.reduce((total, [initial, final]) => total + whole(final) - whole(initial), 0n);
  const digits = (sum < 0n ? -sum : sum).toString().padStart(places + 1, "0");
  const sign = sum < 0n ? "−" : "";
  return places ? `${sign}${digits.slice(0, -places)}.${digits.slice(-places)}` : sign + digits;
}
