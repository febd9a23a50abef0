/** The few names of the vendored module that this project uses. */

export type Child = VNode | string | number | boolean | null | undefined | Child[];
export interface VNode {
  type: unknown;
  props: Record<string, unknown>;
}
export function html(strings: TemplateStringsArray, ...values: unknown[]): VNode;
export function render(node: VNode | null, parent: Element): void;
export function useState<T>(first: T | (() => T)): [T, (next: T | ((before: T) => T)) => void];
export function useEffect(effect: () => void | (() => void), inputs?: unknown[]): void;
export function useRef<T>(first: T): { current: T };
export function useLayoutEffect(effect: () => void | (() => void), inputs?: unknown[]): void;
