// Parts of the page, made without markup in text: what somebody typed is only ever text.

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Partial<HTMLElementTagNameMap[K]> & { role?: string }} [set]
 * @param {string | (Node | string)[]} [inside]
 * @returns {HTMLElementTagNameMap[K]}
 */
export function part(tag, set = {}, inside = []) {
  const made = document.createElement(tag);
  const { role, ...rest } = set;
  if (role) made.setAttribute("role", role);
  Object.assign(made, rest);
  made.append(...(typeof inside === "string" ? [inside] : inside));
  return made;
}

/**
 * Show these and nothing else.
 * @param {HTMLElement} root
 * @param {(Node | string)[]} parts
 */
export function put(root, parts) {
  root.replaceChildren(...parts);
}
