// Which screen belongs to a role.

import { part, put } from "./part.js";

/** @type {Partial<Record<import("./types.js").Role, import("./types.js").Screen>>} */
const SCREENS = {};

/**
 * @param {import("./types.js").Role} role
 * @returns {import("./types.js").Screen}
 */
export function screenOf(role) {
  return SCREENS[role] ?? plain;
}

/** @type {import("./types.js").Screen} */
function plain(root, shown) {
  put(root, [part("h1", {}, shown.session.name)]);
}
