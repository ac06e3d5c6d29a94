export { h, render, Fragment } from "preact";
export type { ComponentChildren, VNode } from "preact";
export { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
export { batch, computed, effect, signal, untracked, useComputed, useSignal } from "@preact/signals";
export type { Signal, ReadonlySignal } from "@preact/signals";
import type { VNode } from "preact";
export function html(strings: TemplateStringsArray, ...values: unknown[]): VNode;
