// Making elements. Text always goes in as text, never as markup.

/** An element with properties or attributes, and what is in it. */
function make(tag, settings = {}, ...content) {
  return fill(document.createElement(tag), settings, content);
}

/** The same for drawings. */
function draw(tag, settings = {}, ...content) {
  return fill(document.createElementNS("http://www.w3.org/2000/svg", tag), settings, content);
}

function fill(element, settings, content) {
  for (const [name, value] of Object.entries(settings)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
  }
  element.append(...content);
  return element;
}

/** A chord symbol set in type: a large root, its kind after it. */
function chordType(symbol) {
  if (symbol === null) return make("span", { class: "chord none" }, "N.C.");
  const [root, kind, bass] = pieces(symbol).map(pretty);
  return make("span", { class: "chord" }, make("b", {}, root), kind && make("i", {}, kind), bass && make("b", { class: "bass" }, bass));
}
