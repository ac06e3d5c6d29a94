// The shapes of what the server says. Types only: nothing here runs.

/** @typedef {[number, number, number]} Point */
/** @typedef {"must" | "look" | "good" | "none"} State */

/**
 * @typedef {object} Finding
 * @property {string} code
 * @property {"must" | "look" | "good"} level
 * @property {string} subject
 * @property {string} says
 * @property {number | null} measured
 * @property {number | null} allowed
 * @property {string} unit
 * @property {string} source
 * @property {string} remedy
 */

/**
 * @typedef {object} Fault
 * @property {string} file
 * @property {string} entry
 * @property {number | null} line
 * @property {string} read
 * @property {string} expected
 * @property {string} do
 */

/**
 * @typedef {object} Op
 * @property {string} key
 * @property {string} name
 * @property {State} state
 * @property {number} must
 * @property {number} look
 * @property {number} good
 * @property {string} evidence
 * @property {string[]} owed
 * @property {Finding[]} findings
 */

/**
 * @typedef {object} Cells
 * @property {string} kind
 * @property {string} marks
 * @property {string} value
 * @property {string} plus_minus
 * @property {string} note
 */

/**
 * @typedef {object} Fit
 * @property {number | null} residual
 * @property {number | null} sd
 * @property {boolean} suspect
 * @property {number | null} redundancy
 * @property {boolean} angle
 */

/** @typedef {Cells & Fit & { line: number }} Row */
/** @typedef {{ fewest: number, most: number | null, value: "length" | "angle" | "point" | "", says: string }} Kind */
/** @typedef {{ rows: Row[], kinds: Record<string, Kind> }} Rows */
/** @typedef {{ kind: string, marks: string[], gain: number }} Candidate */

/**
 * @typedef {object} Mark
 * @property {string} name
 * @property {Point} xyz
 * @property {Array<number | null>} sd
 * @property {Point[] | null} axes
 */

/**
 * @typedef {object} Measured
 * @property {"in" | "mm"} unit
 * @property {Row[]} rows
 * @property {Mark[]} marks
 * @property {number} sigma0
 * @property {number} freedom
 * @property {Candidate[]} next
 * @property {{ moved: string[], apart: number, decides: Candidate | null, xyz: Record<string, Point> }[]} rivals
 * @property {{ line: number, says: string, marks: string[] }[]} mistakes
 * @property {boolean} mirrored
 * @property {string[]} defect
 * @property {number[]} left_out
 */

/**
 * @typedef {object} BendStep
 * @property {number} n
 * @property {number} mark
 * @property {number} straight
 * @property {number} roll
 * @property {number} roll_arc
 * @property {number} wanted
 * @property {number | null} set
 */

/**
 * @typedef {object} Bar
 * @property {string} name
 * @property {string} stock
 * @property {number} od
 * @property {number} wall
 * @property {number} cut
 * @property {number} blank
 * @property {number} mass
 * @property {number} clr
 * @property {number[]} straights
 * @property {"from" | "to"} from_end
 * @property {[number, number]} trims
 * @property {BendStep[]} steps
 * @property {boolean} prebent
 * @property {boolean} stands
 * @property {string} twin_of
 * @property {Record<"from" | "to", { mark: string, against: string[] }>} ends
 * @property {("from" | "to")[]} wraps
 */

/**
 * @typedef {object} Leaf
 * @property {string} leaf
 * @property {string[]} bars
 * @property {Point} through
 * @property {Point} along
 * @property {number} opens
 * @property {string} twin_of
 * @property {number | null} [contact]
 * @property {[string, string] | null} [touches]
 * @property {Point | null} [where]
 * @property {number | null} [least]
 * @property {number} [at]
 * @property {[string, string] | null} [pair]
 */

/** @typedef {{ start: [number, number], end: [number, number], angle: number, radius: number, width: number }} Fold */

/**
 * @typedef {object} Plate
 * @property {string} name
 * @property {number} thickness
 * @property {string} material
 * @property {Point[]} outline
 * @property {Point[][]} holes
 * @property {Fold[]} folds
 * @property {{ n: number, at: [number, number], out: [number, number] }[]} corners
 * @property {{ path: [number, number][], text: string, at: [number, number], height: number }[]} etch
 * @property {string} rides
 * @property {string} twin_of
 */

/** @typedef {{ name: string, what: string, dims: [string, number][], rides: string, twin_of: string }} Hardware */
/** @typedef {{ low: number, high: number, chance: number, chance_low: number, chance_high: number, shares: [string, number][], samples: number }} Drawn */
/** @typedef {{ name: string, nominal: number, least: number, most: number, drawn: Drawn | null }} Gap */
/** @typedef {{ leaf: string, sizes: [string, number][], running: string, gaps: Gap[], bolt_in_hole: number, play: number, play_drawn: Drawn | null, reach: number }} Hinge */
/**
 * @typedef {object} FirstFit
 * @property {number | null} chance
 * @property {number} error
 * @property {number | null} trimmed
 * @property {string} about
 * @property {string} why
 * @property {number} target
 * @property {{ name: string, gain: number, share: number }[]} decides
 * @property {{ kind: string, marks: string[], line: number | null, gain: number }[]} again
 * @property {{ bar: string, amount: number, before: number, after: number }[]} trim
 * @property {{ what: string, by: number, gain: number }[]} open
 * @property {{ name: string, chance: number, counts: boolean }[]} parts
 * @property {{ name: string, part: string, nominal: number, low: number | null, high: number | null, sd: number, chance: number, shares: [string, number][] }[]} gaps
 * @property {string[]} notes
 * @property {string[]} leaves_out
 * @property {number} samples
 */

/** @typedef {{ first: FirstFit | null, hinges: Hinge[] }} Fits */

/**
 * @typedef {object} Step
 * @property {string} title
 * @property {string[]} says
 * @property {string[]} adds
 * @property {boolean} together
 * @property {{ name: string, way: Point }[]} explode
 * @property {string} hold
 * @property {string[]} checks
 * @property {string} state
 * @property {[string, string][]} seams
 * @property {{ name: string, left: number, ways: string[], by: string[], fix: string }[]} freedom
 */

/**
 * @typedef {object} Buildup
 * @property {Step[]} steps
 * @property {{ first: string, second: string, state: string, depth: number, where: Point, welded: boolean }[]} clashes
 * @property {number} compared
 * @property {{ names: string[], out: boolean, blocked_by: string[], goes: number }[]} ways
 * @property {{ parts: [string, string], length: number, leg: number, reached: number, before: string[] }[]} seams
 * @property {{ leaf: string, closer: number, gap: number, aside: number }[]} pulls
 * @property {{ bolt: string, end: string, socket: boolean, spanner: number, blocked_by: string[] }[]} reach
 */
/** @typedef {{ name: string, share: number | null, where: string, along: number }} Use */

/**
 * @typedef {object} Case
 * @property {string} name
 * @property {string} says
 * @property {string} source
 * @property {boolean} must
 * @property {Point} force
 * @property {string} at
 * @property {number | null} factor
 * @property {string} governs
 * @property {number | null} buckling
 * @property {number | null} collapse
 * @property {Use[]} uses
 * @property {Use} shift
 * @property {boolean} stable
 * @property {number} hinge
 * @property {number} latch
 * @property {number} largest
 * @property {Point[]} moves of each node
 */

/** @typedef {{ cautions: string[], cases: Case[], runs: { bar: string, nodes: number[] }[], nodes: Point[] }} Strength */
/** @typedef {{ angle: number[], gap: (number | null)[], pairs: ([string, string] | null)[] }} Curve */
/** @typedef {{ entry: string, value: string, line: number | null }} Entry */
/** @typedef {{ busy: boolean, what: string, share: number, faults: Fault[], version: number, waiting: string[] }} Status */
/** @typedef {{ undo: string | null, redo: string | null, depth: number }} History */
/** @typedef {{ folder: string, lan: boolean, heron: boolean, caution: string }} About */

/**
 * @typedef {object} Pack
 * @property {string} [what]
 * @property {number} share
 * @property {{ name: string, bytes: number }[]} [files]
 * @property {string[]} [left_out]
 * @property {string} [hash]
 * @property {Fault[]} [faults]
 */

/** @typedef {{ file: string, where: string, seen: string, theirs: string, yours: string }} Conflict */

/**
 * Something the page has to say across all operations.
 * @typedef {{ id: number, kind: "conflict", conflict: Conflict, again: () => void }
 *   | { id: number, kind: "overwritten", file: string, yours: string[], theirs: string[] }
 *   | { id: number, kind: "faults", faults: Fault[] }} Notice
 */

/** @typedef {{ name: string, kind: "bar" | "plate" | "hardware", leaf: string, positions: Float32Array, normals: Int8Array, index: Uint32Array }} Thing */

export {};
