// Makes quick what works without it: judges a build as it changes, arrow keys on the map, editing in a slot.
const $ = (what, from = document) => from.querySelector(what);
const $$ = (what, from = document) => [...from.querySelectorAll(what)];

// A form that follows one of its fields asks again when that field changes.
for (const form of $$("form[data-follow]")) {
  form.elements[form.dataset.follow]?.addEventListener("change", () => $("button[formaction]", form)?.click());
}
for (const button of $$("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
// Long work: say that it goes on, and take no second order meanwhile.
addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.dataset.busy !== undefined || event.submitter?.dataset.plain !== undefined) return;
  form.dataset.busy = "";
  const bar = document.createElement("progress");
  bar.setAttribute("aria-label", "working");
  setTimeout(() => form.dataset.busy !== undefined && form.append(bar), 300);
  addEventListener("pageshow", () => { delete form.dataset.busy; bar.remove(); }, { once: true });
});

// The build: every change is judged at once; parts of the page are exchanged, the fields stay as they are.
const PARTS = ["verdict", "map", "figures", "findings", "rate", "regions", "faults"];
const isBoth = (form) => form.dataset.live === "both";
let asking, typing;
async function judge(form) {
  asking?.abort();
  [asking, typing] = [new AbortController(), false];
  const [both, action, signal] = [isBoth(form), form.getAttribute("action"), asking.signal];
  const query = new URLSearchParams([...new FormData(form)].filter(([, value]) => both || value.trim() !== ""));
  let page;
  try {
    const answer = await (both ? fetch(action, { method: "POST", body: query, signal }) : fetch(`${action}?${query}`, { signal }));
    page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch (gone) {
    // What is typed into a long form stays in it; the next change asks again.
    if (gone.name !== "AbortError" && !both) form.submit();
    return;
  }
  // Whoever typed on meanwhile is asked for again soon: this answer is of what stood there before.
  if (both && typing) return;
  const held = document.activeElement?.closest?.("[data-slot]")?.dataset.slot;
  for (const id of PARTS) {
    const [old, next] = [document.getElementById(id), page.getElementById(id)];
    if (!old || !next) continue;
    // A verdict keeps its element, so that a screen reader notices the change of its words.
    if (id === "verdict") { old.className = next.className; old.replaceChildren(...next.childNodes); }
    else old.replaceWith(next);
  }
  marks(form, page);
  for (const link of $$('.top a, .acts a')) {
    const twin = $$(".top a, .acts a", page).find((a) => a.textContent === link.textContent);
    if (twin) link.href = twin.getAttribute("href");
  }
  if (both) align(page);
  else history.replaceState(null, "", `${action}?${query}`);
  grid();
  picked();
  if (held) slots().find((a) => a.dataset.slot === held)?.focus();
}
// What is wrong stands beside its field; findings stand in their row.
function marks(form, page) {
  for (const field of $$("input[id^=in-]", form)) {
    const twin = page.getElementById(field.id);
    const wrong = page.getElementById(`${field.id}-wrong`);
    document.getElementById(`${field.id}-wrong`)?.remove();
    field.toggleAttribute("aria-invalid", false);
    if (wrong) { field.before(wrong); field.setAttribute("aria-invalid", "true"); field.setAttribute("aria-describedby", wrong.id); }
    else field.removeAttribute("aria-describedby");
    const [row, next] = [field.closest("tr"), twin?.closest("tr")];
    if (row && next) $(".of-slot", row).replaceChildren(...$(".of-slot", next).childNodes);
  }
}
const live = $("form[data-live]");
live?.addEventListener("change", (event) => {
  if (["fill", "into"].includes(event.target.name) || isBoth(live)) return;
  judge(live);
});
// A form with its text beside it: asked after a pause; the field that one types in keeps what is typed, and a text takes in what
// came from the form, its cursor staying before the same words.
let pause;
live?.addEventListener("input", (event) => {
  clearTimeout(pause);
  if (!isBoth(live) || event.target.type === "checkbox") return;
  [typing, pause] = [true, setTimeout(() => judge(live), 700)];
});
live?.addEventListener("submit", () => clearTimeout(pause));
function align(page) {
  for (const side of $$("[data-side]", live)) {
    const next = $(`[data-side="${side.dataset.side}"]`, page);
    if (!next) continue;
    for (const fold of $$("details[id]", side)) page.getElementById(fold.id)?.toggleAttribute("open", fold.open);
    const own = document.activeElement;
    const cells = (of) => $$(".field,summary,input[type=hidden]", of);
    const alike = cells(side).length === cells(next).length;
    if (!side.contains(own) || !alike) {
      side.replaceWith(next);
      if (own.id && !alike) document.getElementById(own.id)?.focus();
      continue;
    }
    // The field that one types in stays; all around it is exchanged, and what is wrong with it.
    for (const cell of cells(side)) if (!cell.contains(own)) cell.replaceWith(page.getElementById(cell.id) ?? cell);
    const twin = own.name && page.getElementById(own.id);
    if (!twin) continue;
    document.getElementById(`${own.id}-wrong`)?.remove();
    own.before(page.getElementById(`${own.id}-wrong`) ?? "");
    for (const key of ["aria-invalid", "aria-describedby"]) {
      own.removeAttribute(key);
      if (twin.hasAttribute(key)) own.setAttribute(key, twin.getAttribute(key));
    }
    if (own.id !== "f-text" || own.value === twin.value) continue;
    const [at, after] = [own.selectionStart, own.value.slice(own.selectionEnd ?? 0)];
    own.value = twin.value;
    own.selectionStart = own.selectionEnd = own.value.endsWith(after) ? own.value.length - after.length : at;
  }
}

// The place of a fault is shown in the text.
addEventListener("click", (event) => {
  const [line, column] = event.target.closest?.("[data-place]")?.dataset.place.split(",").map(Number) ?? [];
  if (!line) return;
  event.preventDefault();
  const [text, rows] = [$("#f-text"), $("#f-text").value.split("\n")];
  const at = rows.slice(0, line - 1).reduce((sum, row) => sum + row.length + 1, column - 1);
  text.setSelectionRange(at, at + Math.max(1, rows[line - 1].length + 1 - column));
  text.focus();
  text.scrollTop = (text.scrollHeight * (line - 1)) / rows.length - text.clientHeight / 2;
});

// The map: one stop of the tab key; arrows move over the board, Enter opens, Escape leaves.
const slots = () => $$("[data-map] a[data-slot]");
function grid() {
  const all = slots();
  all.forEach((slot, at) => slot.setAttribute("tabindex", at === 0 ? "0" : "-1"));
  const there = all.find((slot) => slot.getAttribute("href") === location.hash);
  if (there) { all[0].setAttribute("tabindex", "-1"); there.setAttribute("tabindex", "0"); }
}
const go = (to) => { slots().forEach((slot) => slot.setAttribute("tabindex", slot === to ? "0" : "-1")); to.focus(); };
const middle = (slot) => { const box = slot.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]; };
// The nearest slot in a direction: what lies aside counts more than what lies ahead.
function nearest(from, [dx, dy]) {
  const [x, y] = middle(from);
  let best, least = Infinity;
  for (const slot of slots()) {
    const [a, b] = middle(slot);
    const ahead = (a - x) * dx + (b - y) * dy;
    const aside = Math.abs((a - x) * dy) + Math.abs((b - y) * dx);
    if (slot === from || ahead < 4) continue;
    const far = ahead + 3 * aside;
    if (far < least) [best, least] = [slot, far];
  }
  return best;
}
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
addEventListener("keydown", (event) => {
  const slot = event.target.closest?.("[data-map] a[data-slot]");
  if (!slot || event.ctrlKey || event.altKey || event.metaKey) return;
  const all = slots();
  const to = event.key === "Home" ? all[0] : event.key === "End" ? all.at(-1) : WAYS[event.key] && nearest(slot, WAYS[event.key]);
  if (to) go(to);
  if (to || WAYS[event.key]) event.preventDefault();
});
// A slot opens in place where the page has a field for it; elsewhere the link leads to its row.
addEventListener("click", (event) => {
  const slot = event.target.closest?.("[data-map] a[data-slot]");
  const row = slot && document.getElementById(slot.getAttribute("href").slice(1));
  const field = row && $("input[name]", row);
  if (!field || !live || isBoth(live)) return;
  event.preventDefault();
  edit(slot, field);
});
function edit(slot, field) {
  $(".edit")?.remove();
  const [map, box] = [slot.closest("[data-map]"), slot.getBoundingClientRect()];
  const around = map.getBoundingClientRect();
  const make = (name, keys) => Object.assign(document.createElement(name), keys);
  const form = make("form", { className: "edit" });
  const input = Object.assign(field.cloneNode(), { id: "edit" });
  input.removeAttribute("aria-label");
  const label = make("label", { textContent: `Module in ${slot.dataset.slot}`, htmlFor: "edit" });
  form.append(label, input, make("button", { textContent: "Put it in" }));
  form.style.left = `${Math.max(0, Math.min(box.left - around.left, around.width - 360)) + map.scrollLeft}px`;
  map.append(form);
  // Below the slot, or above it where the map ends before the form does: what hangs out of the map is cut off.
  const [below, above] = [box.bottom - around.top + 4, box.top - around.top - form.offsetHeight - 4];
  form.style.top = `${below + form.offsetHeight <= map.clientHeight ? below : Math.max(0, above)}px`;
  input.focus();
  input.select();
  const leave = () => { form.remove(); slots().find((a) => a.dataset.slot === slot.dataset.slot)?.focus(); };
  form.addEventListener("keydown", (event) => event.key === "Escape" && (event.preventDefault(), leave()));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    field.value = input.value;
    leave();
    judge(live);
  });
}
// A list of slots is picked on the drawing too: that stays in sight while one is in such a field, and a tap puts a slot in or out.
let list;
const listed = (field) => field.value.split(/[,\n]/).map((word) => word.trim()).filter(Boolean);
function picked() {
  const [map, field] = [$("#map"), list && document.getElementById(list)];
  map?.classList.toggle("picking", Boolean(field));
  if (field) map.dataset.for = `Tap slots: ${$(`label[for="${list}"]`).textContent}`;
  for (const slot of slots()) slot.setAttribute("aria-current", String(Boolean(field && listed(field).includes(slot.dataset.slot))));
}
addEventListener("focusin", ({ target }) => {
  if (!live || !isBoth(live) || target.closest("#map")) return;
  list = target.matches('textarea:is([name$=".order"],[name$=".slots"])') ? target.id : undefined;
  picked();
});
addEventListener("click", (event) => {
  const [slot, field] = [event.target.closest?.("[data-map] a[data-slot]")?.dataset.slot, list && document.getElementById(list)];
  if (!slot || !field) return;
  event.preventDefault();
  const all = listed(field).includes(slot) ? listed(field).filter((word) => word !== slot) : [...listed(field), slot];
  field.value = all.join(", ");
  const count = $('input[name$=".count"]', field.closest("tr") ?? undefined);
  if (field.name.endsWith(".slots") && count) count.value = all.length;
  judge(live);
});
grid();
