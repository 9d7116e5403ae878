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
