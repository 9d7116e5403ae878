"""What each fault of a YAML file is called, why it matters, and what to type instead.

The wording lives apart from the reading so that it can be reviewed as prose, and so that every code can
be explained without a file at hand. Codes are permanent: never reused, never renumbered.
"""

from __future__ import annotations

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import marked
from progdoc.core.said import said

__all__ = ["YAML_FAULTS", "FaultKind", "fault"]


@dataclass(frozen=True, slots=True)
class FaultKind:
    """One kind of fault: its name, the reason it is refused, and the usual cure."""

    name: str
    why: str
    fix: str


_QUOTES = marked("Put the whole value between double quotes.")

YAML_FAULTS: dict[str, FaultKind] = {
    "YAML-001": FaultKind(
        "description-not-found",
        "The description is one YAML file, or a folder of them, and nothing is there under this name.",
        marked("Check the spelling, or run `progdoc start FOLDER` to write a first description."),
    ),
    "YAML-002": FaultKind(
        "no-yaml-files",
        "The description is read from the files in this folder that end in .yaml or .yml, not from folders inside.",
        marked("Run `progdoc start FOLDER`, or name the folder that holds your .yaml files."),
    ),
    "YAML-003": FaultKind(
        "file-unreadable",
        "A part of the description that cannot be read would be missing from the program without anybody seeing it.",
        marked("Make it an ordinary file that you may read, or take it out of the folder."),
    ),
    "YAML-004": FaultKind(
        "not-a-yaml-file",
        "Other kinds of file (Word, Excel, CSV, PDF) cannot hold the description.",
        marked("Name a file that ends in .yaml or .yml, or the folder that holds it."),
    ),
    "YAML-005": FaultKind(
        "description-too-large",
        "A description of a workplace is small; one this large is most likely the wrong file.",
        marked("Check that the right file is named. Very long rosters can be kept in a CSV file."),
    ),
    "YAML-006": FaultKind(
        "file-empty",
        "A file without a single entry is most likely one that was not saved, or lost its content.",
        marked("Write its entries, for example `format: 1`, or delete the file."),
    ),
    "YAML-010": FaultKind(
        "file-not-utf-8",
        "The file is saved in another encoding than UTF-8, so its characters cannot be told apart safely.",
        marked("Open it in your editor, choose Save as, and pick the encoding UTF-8."),
    ),
    "YAML-011": FaultKind(
        "character-not-utf-8",
        "The file is read as UTF-8; a character saved in another encoding could come out as a different one.",
        marked("Save the file again with the encoding UTF-8, then type this character anew."),
    ),
    "YAML-012": FaultKind(
        "control-character",
        "Characters that no keyboard types and no page can print usually come from a damaged or pasted text.",
        marked("Delete it and type the text around it anew."),
    ),
    "YAML-013": FaultKind(
        "invisible-character",
        "Pasted text can carry characters that look like a space, or like nothing, and change how a line is read.",
        marked("Delete it and type an ordinary space where one is needed."),
    ),
    "YAML-020": FaultKind(
        "not-valid-yaml",
        "From here on the file cannot be read, so nothing after this place has been checked yet.",
        marked(
            "Look at this line and the one above it: each entry is `name: value`, with its text in double quotes "
            "where it holds special characters."
        ),
    ),
    "YAML-021": FaultKind(
        "bad-indentation",
        "The spaces at the start of a line say what it belongs to, so entries that belong together must start "
        "in the same column.",
        marked("Line it up with the entries it belongs to."),
    ),
    "YAML-022": FaultKind(
        "no-space-after-colon",
        "Without a space after the colon, name and value are read as one word.",
        marked("Put a space after the colon, or double quotes around it all if it is meant as one text."),
    ),
    "YAML-023": FaultKind(
        "unclosed-quote",
        "A quoted text runs on over the following lines until the next quote mark, and swallows what they say.",
        marked(
            "Close the quote at the end of the text. An apostrophe needs no quotes around it; within a text in "
            'double quotes write \\" for a quote mark.'
        ),
    ),
    "YAML-024": FaultKind(
        "unclosed-bracket",
        "Brackets must come in pairs; a lone one swallows the lines below it.",
        marked("Close the bracket, put commas between the entries, or write one entry a line, each after `- `."),
    ),
    "YAML-025": FaultKind(
        "tab-in-indentation",
        "A tab has no fixed width, so nobody can tell what the line belongs to.",
        marked("Replace the tab by spaces (most editors: `Convert indentation to spaces`)."),
    ),
    "YAML-026": FaultKind(
        "special-first-character",
        "At the start of a value this character has a meaning of its own in YAML, so it cannot be plain text.",
        _QUOTES,
    ),
    "YAML-027": FaultKind(
        "colon-in-text",
        "A colon followed by a space starts a new value, and there is already one on this line.",
        _QUOTES,
    ),
    "YAML-028": FaultKind(
        "text-after-closing-quote",
        "The text ends at its closing quote, so what follows on the line belongs to nothing.",
        marked("Put the quotes around the whole value: double quotes outside when there is an apostrophe inside."),
    ),
    "YAML-029": FaultKind(
        "backslash-in-double-quotes",
        "Between double quotes a backslash starts a special character.",
        marked("Use single quotes around the text, or write two backslashes for one."),
    ),
    "YAML-030": FaultKind(
        "line-without-colon",
        "Every line of this block must be `name: value`; this one has no colon followed by a space.",
        marked(
            "If it continues the text of the line above, indent it further than that line's name; else write "
            "`name: value`."
        ),
    ),
    "YAML-031": FaultKind(
        "dash-out-of-place",
        "A list starts on the line below its name, one entry a line.",
        marked("Move the dash to a line of its own, indented under the name, or put the value between double quotes."),
    ),
    "YAML-032": FaultKind(
        "no-space-after-dash",
        "Without a space after the dash the lines are read as one running text, not as a list.",
        marked("Put a space after each dash, or double quotes around the text if it is one."),
    ),
    "YAML-033": FaultKind(
        "text-cut-at-hash",
        "A `#` after a space starts a comment, so the rest of the line would silently be left out.",
        marked("Put the whole value between double quotes; if a comment is meant, put a space after the `#`."),
    ),
    "YAML-040": FaultKind(
        "duplicate-name",
        "One of the two values would be lost, and nobody could tell which one was meant.",
        marked(
            "Keep the right one and delete or rename the other; of a list or group, move the lines under the first."
        ),
    ),
    "YAML-041": FaultKind(
        "name-in-two-files",
        "Only lists may be spread over several files; anything else must stand in one place.",
        marked("Bring both parts together in one of the files."),
    ),
    "YAML-042": FaultKind(
        "anchor-or-alias",
        "`&name` and `*name` copy values from one place to another, where a reader may not see them.",
        marked("Write the value out in full; if the sign is part of the text, put the text between double quotes."),
    ),
    "YAML-043": FaultKind(
        "merge-key",
        "`<<` copies entries from another place, where a reader may not see them.",
        marked("Write the entries out in full."),
    ),
    "YAML-044": FaultKind(
        "tag",
        "A word after `!` tells a program to turn the value into something else, and values are read as plain text.",
        marked("Delete the word with its `!`; if it is part of the text, put the text between double quotes."),
    ),
    "YAML-045": FaultKind(
        "name-not-plain-text",
        "What stands before a colon is the name of a value: a short plain text on one line.",
        marked("Write it as `name: value`."),
    ),
    "YAML-046": FaultKind(
        "several-documents",
        "A line of three dashes in the middle starts a second description in the same file.",
        marked("Delete the line with the dashes, or move what follows it to a file of its own."),
    ),
    "YAML-047": FaultKind(
        "no-names-at-top",
        "The outermost lines of a description are names such as `organisation:` and `tasks:`.",
        marked("Write the name of the part first, for example `tasks:`, and indent the rest below it."),
    ),
    "YAML-048": FaultKind(
        "nested-too-deep",
        "No part of a description goes this deep; most likely a bracket is repeated by mistake.",
        marked("Take out the brackets or dashes that are too many."),
    ),
    "YAML-049": FaultKind(
        "text-too-long",
        "A single text of this length is most likely a quote that was never closed, or a pasted file.",
        marked("Shorten it, or add the long text as an attachment."),
    ),
    "YAML-050": FaultKind(
        "too-many-values",
        "A description of a workplace is far smaller; most likely this is the wrong file.",
        marked("Check that the right file is named. Very long rosters can be kept in a CSV file."),
    ),
    "YAML-051": FaultKind(
        "more-faults",
        "So many faults in one file usually have one cause, and the list would hide it.",
        marked("Mend the ones listed, then run the check again to see the rest."),
    ),
}


def fault(code: str, where: Location, what: str, fix: str = "") -> Diagnostic:
    """Return the finding for one place; `fix` replaces the usual cure where a better one is known."""
    kind = YAML_FAULTS[code]
    return Diagnostic(where, code, kind.name, Severity.INVALID, what, kind.why, fix or said(kind.fix))
