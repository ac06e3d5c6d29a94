// Lengths as the shop writes them. The same rules as barwright/job/lengths.py.

const MM = 25.4;

/** A number to so many places, halves away from zero, never minus zero. @param {number} value @param {number} places */
export function number(value, places) {
  const scale = 10 ** places;
  const rounded = (Math.sign(value) * Math.round(Math.abs(value) * scale * (1 + 1e-14))) / scale;
  return (rounded || 0).toFixed(places).replace("-", "−");
}

/** A length as a tape shows it: `23 7/16`, or millimetres. @param {number | null | undefined} mm @param {"in" | "mm"} unit @param {number} [parts] */
export function tape(mm, unit, parts = 32) {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return "–";
  if (unit === "mm") return number(mm, 1);
  const all = Math.round((Math.abs(mm) / MM) * parts);
  let [above, below] = [all % parts, parts];
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  const whole = Math.floor(all / parts);
  const words = [whole || !above ? String(whole) : "", above ? `${above}/${below}` : ""];
  return (mm < 0 && all ? "−" : "") + words.filter(Boolean).join(" ");
}

/** What a fraction can tell is told by one; what is smaller, by decimals. */
export const SMALL = MM / 8;

/** A length large or small, with its unit. @param {number} mm @param {"in" | "mm"} unit */
export function length(mm, unit) {
  return `${Math.abs(mm) < SMALL && unit === "in" ? fine(mm, unit) : tape(mm, unit)} ${unit}`;
}

/** The same with the unit. @param {number | null | undefined} mm @param {"in" | "mm"} unit */
export function shop(mm, unit) {
  const text = tape(mm, unit);
  return text === "–" ? text : `${text} ${unit}`;
}

/** Decimals, for what a fraction is too coarse for. @param {number | null | undefined} mm @param {"in" | "mm"} unit */
export function fine(mm, unit) {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return "–";
  return unit === "in" ? number(mm / MM, 3) : number(mm, 2);
}

/** The length exactly, in both units, for beside a fraction. @param {number} mm @param {"in" | "mm"} unit */
export function both(mm, unit) {
  const [inches, metric] = [`${number(mm / MM, 3)} in`, `${number(mm, 1)} mm`];
  return unit === "in" ? `${inches} · ${metric}` : `${metric} · ${inches}`;
}

/** @param {number | null | undefined} degrees @param {number} [places] */
export function turn(degrees, places = 1) {
  return degrees === null || degrees === undefined ? "–" : `${number(degrees, places)}°`;
}

/** A figure of a finding in its own unit, and in inches where the job is. @param {number | null} value @param {string} kind @param {"in" | "mm"} unit */
export function figure(value, kind, unit) {
  if (value === null || value === undefined) return "";
  if (kind === "mm") return unit === "in" ? `${fine(value, unit)} in (${number(value, 1)} mm)` : `${number(value, 2)} mm`;
  if (kind === "deg") return turn(value, 2);
  const places = Math.abs(value) >= 100 ? 0 : 2;
  return `${number(value, places)}${kind ? ` ${kind}` : ""}`;
}

/** @param {number} bytes */
export function size(bytes) {
  return bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${number(bytes / 1e6, 1)} MB`;
}
