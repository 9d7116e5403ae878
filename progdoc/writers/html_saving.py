"""Lets a browser keep what was filled into a page: a small script of our own, which fetches and sends nothing.

Without it the page is the same and can be filled in and printed; the buttons that need it are then not shown. The
page's policy allows this very text by its digest and no other, so nothing that a description says can ever run.
"""

from __future__ import annotations

import json
from base64 import b64encode
from hashlib import sha256
from html import escape

from progdoc.core.paper_language import language_of, marked
from progdoc.document.tree.nodes import Document

__all__ = ["SAVED_FORMAT", "saved_fields", "saving_buttons", "script_source"]

SAVED_FORMAT = "progdoc-answers/1"

_SCRIPT = """
(function () {
  "use strict";
  var bar = document.getElementById("page--saving");
  var told = document.getElementById("page--saved");
  var fields = function () { return document.querySelectorAll("main input[name], main textarea[name]"); };
  function filled() {
    var found = {};
    fields().forEach(function (field) {
      if (field.type === "radio") { found[field.name] = field.checked ? field.value : found[field.name] || ""; }
      else if (field.type === "checkbox") { found[field.name] = field.checked ? "yes" : ""; }
      else { found[field.name] = field.value; }
    });
    return found;
  }
  function save() {
    var data = { format: bar.dataset.format, fields: filled() };
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(data, null, 2) + "\\n"], { type: "application/json" }));
    link.download = bar.dataset.name;
    link.click();
    told.textContent = "Kept as " + bar.dataset.name + ", where your browser keeps files.";
  }
  function put(text) {
    var data;
    try { data = JSON.parse(text); } catch (error) { data = null; }
    if (!data || data.format !== bar.dataset.format || !data.fields) {
      told.textContent = "This file holds no answers of such a page; nothing was changed.";
      return;
    }
    var count = 0;
    fields().forEach(function (field) {
      if (!Object.prototype.hasOwnProperty.call(data.fields, field.name)) { return; }
      var value = String(data.fields[field.name]);
      if (field.type === "radio") { field.checked = field.value === value; count += field.checked ? 1 : 0; }
      else if (field.type === "checkbox") { field.checked = value === "yes"; count += 1; }
      else { field.value = value; count += 1; }
    });
    told.textContent = count + " fields were filled in from the file.";
  }
  document.getElementById("page--save").addEventListener("click", save);
  document.getElementById("page--open").addEventListener("change", function (event) {
    var file = event.target.files[0];
    if (file) { file.text().then(put); }
  });
  bar.hidden = false;
})();
"""


# What the script tells; in another language than English it tells the translation.
_TOLD = (
    marked("Kept as "),
    marked(", where your browser keeps files."),
    marked("This file holds no answers of such a page; nothing was changed."),
    marked(" fields were filled in from the file."),
)


def _script(document: Document) -> str:
    language, script = language_of(document.language), _SCRIPT
    for words in _TOLD:
        script = script.replace(f'"{words}"', json.dumps(language.say(words)))
    return script


def script_source(document: Document) -> str:
    """Return what a page's policy has to say for the script to run."""
    return f"'sha256-{b64encode(sha256(_script(document).encode()).digest()).decode()}'"


def saving_buttons(document: Document) -> str:
    """Return the buttons that keep and bring back what was filled in, and the script behind them."""
    if not document.saves_as:
        return ""
    name, say = escape(document.saves_as), language_of(document.language).say
    return (
        f'<section aria-label="{say("Keep what was filled in")}">'
        f'<div id="page--saving" class="saving" data-name="{name}" data-format="{escape(SAVED_FORMAT)}" hidden>'
        f'<button type="button" id="page--save">{say("Keep the answers as a file")}</button> '
        f'<label>{say("Go on with a file kept before:")} <input type="file" id="page--open" accept=".json"></label>'
        '<p id="page--saved" role="status"></p></div>\n'
        f"<noscript><p>{say('This browser keeps no answers here: print the page, or fill in the Word file.')}</p>"
        "</noscript></section>\n"
        f"<script>{_script(document)}</script>"
    )


def saved_fields(data: bytes) -> dict[str, str] | None:
    """Return what a browser kept, by field; None where the file is none of that kind.

    >>> saved_fields(b'{"format": "progdoc-answers/1", "fields": {"a": "b"}}')
    {'a': 'b'}
    """
    try:
        value = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        return None
    fields = value.get("fields") if isinstance(value, dict) and value.get("format") == SAVED_FORMAT else None
    if not isinstance(fields, dict) or not all(isinstance(text, str) for text in fields.values()):
        return None
    return fields
