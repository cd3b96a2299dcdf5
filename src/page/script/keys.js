// The keyboard: every key with what it does, listed on the page from the same table.

/** `actions` names what can be done; each entry: the keys, what the list says, the action. */
class Keys {
  constructor(table) {
    this.table = table;
    this.enabled = memory.read().keys !== false;
    const rows = table.map(([keys, words]) => make("div", {}, make("dt", {}, ...keys.flatMap((key, at) => [at ? " " : "", make("kbd", {}, keyName(key))])), make("dd", {}, words)));
    const box = make("input", {
      type: "checkbox",
      onchange: () => {
        this.enabled = box.checked;
        memory.write({ keys: box.checked });
      },
    });
    box.checked = this.enabled;
    this.root = make(
      "details",
      { class: "keys-list" },
      make("summary", {}, "Keys"),
      make("label", { class: "switch" }, box, " listen to these keys"),
      make("dl", {}, ...rows),
    );
    document.addEventListener("keydown", (event) => this.pressed(event));
  }

  pressed(event) {
    if (!this.enabled || event.ctrlKey || event.metaKey || event.altKey) return;
    const { target } = event;
    // Caps lock changes no letter's meaning.
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const typing = target.closest?.("input:not([type=checkbox]):not([type=radio]), select, textarea");
    // Radio buttons and sliders need their arrows, buttons and boxes their space bar.
    if (typing && (key.startsWith("Arrow") || key === "Home" || key === "End" || key.startsWith("Page"))) return;
    if (target.type === "radio" && key.startsWith("Arrow")) return;
    if (key === " " && target.closest?.("button:not(.bar), summary, input[type=checkbox], a")) return;
    const found = this.table.find(([keys]) => keys.includes(key));
    if (!found) return;
    event.preventDefault();
    found[2]();
  }
}

function keyName(key) {
  const names = { " ": "space", ArrowLeft: "\u2190", ArrowRight: "\u2192", PageUp: "page up", PageDown: "page down", Home: "home" };
  return names[key] ?? key;
}
