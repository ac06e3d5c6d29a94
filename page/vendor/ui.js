// What the page draws itself with: preact, htm bound to it, and signals.
import { h, render, Fragment } from "preact";
import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { batch, computed, effect, signal, untracked, useComputed, useSignal } from "@preact/signals";
import htm from "htm";

export const html = htm.bind(h);
export { h, render, Fragment };
export { useEffect, useId, useLayoutEffect, useMemo, useRef, useState };
export { batch, computed, effect, signal, untracked, useComputed, useSignal };
