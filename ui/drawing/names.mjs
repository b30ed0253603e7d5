/**
 * What shapes and handles are called, for ears as for eyes. Pure.
 *
 * @typedef {import("./texts.mjs").Say} Say
 * @typedef {import("./model.mjs").Shape} Shape
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./types.mjs").Reference} Reference
 */
import { toolOf } from "./tools.mjs";

/** @type {(say: Say, kind: string) => string} */
export const roleName = (say, kind) => say(`role.${kind}`);

/** @type {(say: Say, reference: Reference) => string} */
export const referenceName = (say, reference) =>
  reference.name || say(`reference.${toolOf(reference)}`);

/** @type {(say: Say, shape: Shape, said: string) => string} */
export function shapeName(say, shape, said) {
  if (shape.list === "references") {
    const kind = say(`kind.${shape.kind}`);
    return shape.name ? say("name.reference", { name: shape.name, kind }) : kind;
  }
  if (shape.list === "soffits") return say(`name.${shape.field}`, { name: shape.name });
  const role = roleName(say, shape.kind);
  return said
    ? say("name.line", { name: shape.name, role, said })
    : say("name.line.unmeasured", { name: shape.name, role });
}

/** @type {(say: Say, shape: Shape, at: number, pick: import("./types.mjs").Point) => string} */
export const handleName = (say, shape, at, pick) =>
  say("name.handle", {
    name: shape.list === "references" && !shape.name ? say(`kind.${shape.kind}`) : shape.name,
    number: at + 1,
    count: shape.picks.length,
    x: pick[0].toFixed(1),
    y: pick[1].toFixed(1),
  });

/** @type {(elevations: readonly Elevation[]) => Set<string>} */
export const namesOf = (elevations) =>
  new Set(elevations.flatMap((e) => (e.lines ?? []).map((line) => line.name)));
