// Deflated arrays of numbers, as `phone_heat.packed` writes them.

const KINDS = { f4: Float32Array, i4: Int32Array };

/** Return the arrays by name; fails where the browser can't inflate. */
export async function unpacked({ arrays, deflated }) {
  const bytes = Uint8Array.from(atob(deflated), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const whole = await new Response(stream).arrayBuffer();
  let at = 0;
  return Object.fromEntries(arrays.map(([name, kind, size]) => {
    const array = new KINDS[kind](whole, at, size);
    at += 4 * size;
    return [name, array];
  }));
}
