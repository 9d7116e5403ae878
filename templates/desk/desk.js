// Tells, while somebody types, what the answer would mean. Everything works without it.
"use strict";
const form = document.querySelector("form[data-try]");
const told = document.getElementById("tried");
let waiting = 0;
let asked = 0;

async function tryOut() {
  const number = ++asked;
  const answer = await fetch(form.dataset.try, { method: "POST", body: new URLSearchParams(new FormData(form)) });
  if (answer.ok && number === asked) told.innerHTML = await answer.text();
}

if (form && told) {
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(tryOut, 400);
  });
}

// Fields that wait for a choice come once it is made; what is filled in stays in sight.
const groups = [...document.querySelectorAll("[data-by]")];

function narrow() {
  for (const group of groups) {
    const chosen = new FormData(form).getAll(group.dataset.by).filter(Boolean);
    const isMeant = chosen.some((one) => group.dataset.for === "any" || group.dataset.for.split(" ").includes(one));
    const isFilled = [...group.querySelectorAll("input:not([type=hidden]), textarea")].some((one) =>
      one.type === "radio" || one.type === "checkbox" ? one.checked && one.value : one.value,
    );
    const isShown = isMeant || isFilled || (!chosen.length && "unsaid" in group.dataset);
    group.hidden = !isShown;
    if (isShown) group.open = true;
    group.classList.toggle("meant", isShown);
  }
}

if (form && groups.length) {
  narrow();
  form.addEventListener("change", narrow);
}

// Another kind has other fields: what was typed into the rest of the form is sent along, and stands there again.
for (const link of document.querySelectorAll("form [data-choose]")) {
  link.addEventListener("click", (event) => {
    event.preventDefault();
    form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "choosing", value: "yes" }));
    form.action = link.href;
    form.submit();
  });
}

// One tick for a whole list ticks each of it, and goes when one of them does.
for (const all of document.querySelectorAll("[data-all]")) {
  const each = [...form.querySelectorAll(`input[type=checkbox][name="${CSS.escape(all.dataset.all)}"]`)];
  const look = () => { all.checked = each.every((one) => one.checked); };
  look();
  all.addEventListener("change", () => { for (const one of each) one.checked = all.checked; });
  for (const one of each) one.addEventListener("change", look);
}

// A long list of names is narrowed by typing.
for (const find of document.querySelectorAll("[data-find]")) {
  const label = document.querySelector(`label[for="${CSS.escape(find.id)}"]`);
  const list = document.querySelector(`[data-list="${CSS.escape(find.dataset.find)}"]`);
  find.hidden = label.hidden = false;
  find.addEventListener("input", (event) => {
    event.stopPropagation();
    const wanted = find.value.trim().toLowerCase();
    for (const tick of list.querySelectorAll("label")) {
      tick.hidden = !tick.textContent.toLowerCase().includes(wanted) && !tick.querySelector("input").checked;
    }
  });
}

// The desk hears that this page is shown, and that it goes: once the last one is closed, it ends.
const page = { token: document.body.dataset.token, page: crypto.randomUUID() };
const tell = (state) => navigator.sendBeacon("/here", new URLSearchParams({ ...page, state }));
addEventListener("pageshow", () => tell("shown"));
addEventListener("pagehide", () => tell("gone"));
