// What the page knows: one signal a part, so that only what changed is drawn anew.
import { computed, signal } from "../vendor/ui.js";

/** @import { About, Op, Entry, History, Leaf, Bar, Measured, Notice, Pack, Plate, Hardware, Rows, Status, Strength, Thing, Curve, Fits, Buildup } from "./types.js" */
/** @template T @typedef {import("../vendor/ui.js").Signal<T>} Signal */

/** @type {Signal<About>} */
export const about = signal({ folder: "", lan: false, heron: false, caution: "" });
/** @type {Signal<Status>} */
export const status = signal({ busy: false, what: "", share: 0, faults: [], version: 0, waiting: [] });
/** @type {Signal<History>} */
export const history = signal({ undo: null, redo: null, depth: 0 });
/** @type {Signal<boolean>} */
export const connected = signal(false);

/** @type {Signal<Rows>} */
export const rows = signal({ rows: [], kinds: {} });
/** @type {Signal<Entry[]>} */
export const entries = signal([]);
/** How each operation stands, by its key. @type {Signal<Record<string, Op>>} */
export const ops = signal({});
/** @type {Signal<Measured | null>} */
export const measured = signal(null);
/** @type {Signal<Bar[]>} */
export const bars = signal([]);
/** @type {Signal<Leaf[]>} */
export const leaves = signal([]);
/** @type {Signal<{ parts: Plate[], hardware: Hardware[] }>} */
export const plates = signal({ parts: [], hardware: [] });
/** @type {Signal<Record<string, Curve>>} */
export const curves = signal({});
/** @type {Signal<Fits | null>} */
export const fits = signal(null);
/** @type {Signal<Strength | null>} */
export const strength = signal(null);
/** @type {Signal<Buildup | null>} */
export const buildup = signal(null);
/** @type {Signal<Thing[]>} */
export const things = signal([]);
/** @type {Signal<Record<string, Pack>>} */
export const packs = signal({});
/** Fingerprints of the parts of the answer as last fetched. @type {Signal<Record<string, string>>} */
export const tags = signal({});

/** The parts of the answer that are on their way. @type {Signal<string[]>} */
export const coming = signal([]);
/** The newest state of the job that came of what was done here, by its number. */
export const wrote = signal(0);

/** @type {Signal<Notice[]>} */
export const notices = signal([]);

/** The operation that lies open. */
export const open = signal(location.hash.slice(1) || "measure");
/** Whether a person has opened an operation, so that the page goes to it. */
export const opened = signal(false);
/** The bar, plate, or mark that is looked at. */
export const chosen = signal("");
/** The reading that is looked at, by its line; 0 for none. */
export const line = signal(0);
/** How far the leaves stand open, in degrees from closed. */
export const angle = signal(0);
/** The leaf that is looked at. */
export const leafName = signal("");
/** What the parts are cut from. @type {Signal<"board" | "metal">} */
export const stage = signal("metal");
/** The load case that is looked at. */
export const caseName = signal("");
/** The step of putting it together. */
export const buildStep = signal(0);
/** How far the parts are pulled apart, 0..1. */
export const apart = signal(0);

export const unit = computed(() => {
  const written = entries.value.find((e) => e.entry === "job.unit");
  return /** @type {"in" | "mm"} */ (written?.value === '"in"' ? "in" : "mm");
});
export const jobName = computed(() => {
  const written = entries.value.find((e) => e.entry === "job.name")?.value ?? "";
  try {
    return String(JSON.parse(written) || "");
  } catch {
    return written.replace(/^['"]|['"]$/g, "");
  }
});
export const empty = computed(() => rows.value.rows.length === 0);
/** Whether anything is being worked out, or on its way here. */
export const working = computed(
  () => status.value.busy || status.value.version < wrote.value || coming.value.length > 0,
);
/** Whether a part of the answer is older than what is written. @param {string} part */
export const old = (part) =>
  status.value.version < wrote.value || status.value.waiting.includes(part) || coming.value.includes(part);
export const leaf = computed(
  () => leaves.value.find((l) => l.leaf === leafName.value) ?? leaves.value[0] ?? null,
);

let last = 0;
/** A number of its own for a notice. */
export const nextId = () => ++last;
