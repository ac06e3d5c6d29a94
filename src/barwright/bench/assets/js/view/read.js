// The picture's binary file: a header that lists the things, then points, normals and corners.

/** @import { Thing } from "../types.js" */

/** @param {ArrayBuffer} buffer @returns {Thing[]} */
export function readScene(buffer) {
  const long = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, long)));
  /** @type {{ name: string, kind: Thing["kind"], leaf: string, points: number, corners: number }[]} */
  const listed = header.things;
  const points = listed.reduce((sum, t) => sum + t.points, 0);
  let [position, normal] = [4 + long, 4 + long + 12 * points];
  let corner = normal + 4 * points;
  return listed.map((t) => {
    const thing = {
      name: t.name,
      kind: t.kind,
      leaf: t.leaf,
      positions: new Float32Array(buffer, position, 3 * t.points),
      normals: new Int8Array(buffer, normal, 4 * t.points),
      index: new Uint32Array(buffer, corner, t.corners),
    };
    position += 12 * t.points;
    normal += 4 * t.points;
    corner += 4 * t.corners;
    return thing;
  });
}
