// Talking with the server: edits go out one by one, everything that happens comes in by itself.
import { batch } from "../vendor/ui.js";
import * as state from "./state.js";
import { readScene } from "./view/read.js";

/** @import { Cells, Fault, Conflict } from "./types.js" */

/** Where each part of the answer goes. @type {Record<string, (data: any) => void>} */
const into = {
  rows: (d) => (state.rows.value = d),
  entries: (d) => (state.entries.value = d.entries),
  measure: (d) => (state.measured.value = d),
  tubes: (d) => (state.bars.value = d?.bars ?? []),
  swing: (d) => (state.leaves.value = d?.leaves ?? []),
  plates: (d) => (state.plates.value = d ?? { parts: [], hardware: [] }),
  curves: (d) => (state.curves.value = d ?? {}),
  fit: (d) => (state.fits.value = d),
  strength: (d) => (state.strength.value = d),
  build: (d) => (state.buildup.value = d),
  scene: (d) => (state.things.value = d ?? []),
};

/** A part of the answer has come; null where there is none any more. @param {string} name @param {any} data */
function put(name, data) {
  batch(() => {
    into[name]?.(data);
    if (data?.op) state.ops.value = { ...state.ops.value, [name]: data.op };
    if (data === null) state.ops.value = Object.fromEntries(Object.entries(state.ops.value).filter(([key]) => key !== name));
  });
}

/** Whether the picture is wanted yet: it is fetched only once there is a view to show it. */
let picture = false;

/** Fetch the picture from now on. */
export function wantPicture() {
  picture = true;
  if (state.tags.value.scene) fetchSection("scene");
}

/** @param {Record<string, string>} sections */
function changed(sections) {
  const news = Object.entries(sections).filter(([name, tag]) => state.tags.value[name] !== tag);
  state.tags.value = { ...state.tags.value, ...sections };
  for (const [name] of news) if (name !== "scene" || picture) fetchSection(name);
}

/** @param {string} name */
async function fetchSection(name) {
  const tag = state.tags.value[name];
  state.coming.value = [...state.coming.value, name];
  try {
    const answer = await fetch(`/section/${name}`);
    if (answer.status !== 200) return; // there is none of it any more
    const data = name === "scene" ? readScene(await answer.arrayBuffer()) : await answer.json();
    if (state.tags.value[name] === tag) put(name, data);
  } catch {
    const { [name]: _, ...left } = state.tags.value; // it is told anew when the line stands again
    state.tags.value = left;
  } finally {
    const at = state.coming.value.indexOf(name);
    state.coming.value = state.coming.value.filter((_, i) => i !== at);
  }
}

/** There are none of these any more. @param {string[]} sections */
function gone(sections) {
  const left = Object.entries(state.tags.value).filter(([name]) => !sections.includes(name));
  state.tags.value = Object.fromEntries(left);
  for (const name of sections) put(name, null);
}

/** @type {Record<string, (said: any) => void>} */
const heard = {
  status: ({ t, ...said }) => {
    state.status.value = said;
    state.connected.value = true; // the last of what a new line begins with: now all of it is known
  },
  history: ({ t, ...said }) => (state.history.value = said),
  sections: ({ sections }) => changed(sections),
  gone: ({ sections }) => gone(sections),
  pack: ({ t, stage, ...said }) => (state.packs.value = { ...state.packs.value, [stage]: said }),
  overwritten: ({ t, ...said }) => notice({ kind: "overwritten", ...said }),
};

/** Stay in touch; when the line breaks, try again until the server is back. */
export function connect() {
  const socket = new WebSocket(`ws://${location.host}/live`);
  socket.onopen = () => {
    state.wrote.value = 0; // a bench started anew counts from the beginning
  };
  socket.onmessage = (event) => {
    const said = JSON.parse(event.data);
    heard[said.t]?.(said);
  };
  socket.onclose = () => {
    state.connected.value = false;
    setTimeout(connect, 1000);
  };
}

/** @param {any} what */
export function notice(what) {
  state.notices.value = [...state.notices.value, { id: state.nextId(), ...what }];
}

/** @param {number} id */
export function dismiss(id) {
  state.notices.value = state.notices.value.filter((n) => n.id !== id);
}

/**
 * @typedef {{ ok: true, told: any } | { ok: false, faults: Fault[], conflict?: Conflict }} Answer
 */

/**
 * Send something and hear what became of it; a server that is gone is a fault like another.
 * @param {string} path @param {unknown} [what] @returns {Promise<Answer>}
 */
export async function post(path, what) {
  try {
    const init = what instanceof Blob ? what : JSON.stringify(what ?? {});
    const answer = await fetch(path, { method: "POST", body: init });
    const told = await answer.json();
    if (answer.ok) {
      if (told.version) state.wrote.value = Math.max(state.wrote.value, told.version);
      return { ok: true, told };
    }
    return { ok: false, faults: told.faults ?? [], conflict: told.conflict };
  } catch {
    const gone = { file: "", entry: "", line: null, read: "no answer", expected: "the bench running", do: "look at the terminal it was started in; what you typed is still here" };
    return { ok: false, faults: [gone] };
  }
}

/**
 * Make an edit. A conflict is shown across the page, with the edit kept to be made again.
 * @param {any} what @returns {Promise<Answer>}
 */
export async function edit(what) {
  const answer = await post("/edit", what);
  if (!answer.ok && answer.conflict) {
    const conflict = answer.conflict;
    const again = () => edit(insisted(what, conflict));
    notice({ kind: "conflict", conflict, again });
  }
  return answer;
}

/**
 * The same edit, made on what stands there now.
 * @param {any} what @param {Conflict} conflict
 */
function insisted(what, conflict) {
  if (what.do === "set") {
    const sets = what.sets.map((/** @type {any} */ s) =>
      s.entry === conflict.where ? { ...s, old: conflict.theirs } : s,
    );
    return { ...what, sets };
  }
  const now = state.rows.value.rows.find((r) => r.line === what.line);
  if (!now) return what.row ? { do: "add", row: what.row } : what;
  return { ...what, old: cells(now) };
}

/** @param {Cells} row @returns {Cells} */
export function cells({ kind, marks, value, plus_minus, note }) {
  return { kind, marks, value, plus_minus, note };
}

/** Take the last step back, or do it again. @param {"undo" | "redo"} which */
export async function step(which) {
  const answer = await post(`/${which}`);
  if (!answer.ok) notice({ kind: "faults", faults: answer.faults });
}
