// Lays what this phone has saved over the state that the server gave.

/**
 * @param {import("./types.js").PhoneState} state
 * @param {import("./types.js").Kept[]} own
 * @returns {import("./types.js").PhoneState}
 */
export function overlay(state, own) {
  return { ...state, own };
}
