// The little of Node's test runner that the tests use.

declare module "node:test" {
  export default function test(name: string, body: () => void | Promise<void>): void;
}

declare module "node:assert/strict" {
  interface Assert {
    (value: unknown, message?: string): asserts value;
    equal<T>(got: T, want: T, message?: string): void;
    deepEqual<T>(got: T, want: T, message?: string): void;
    throws(run: () => unknown, kind: new (...a: never[]) => Error): void;
    rejects(run: Promise<unknown>, message: RegExp): Promise<void>;
  }
  const assert: Assert;
  export default assert;
}

declare module "node:zlib" {
  export function gzipSync(plain: Uint8Array, options: { level: number; strategy?: number }): Uint8Array;
  export function gunzipSync(packed: Uint8Array): Uint8Array;
}
