"""What may be wrong with files and folders: every code with its name and the reason, as prose to be reviewed.

`progdoc explain` reads them here. Codes are permanent: never reused, never renumbered.
"""

from __future__ import annotations

from progdoc.core.diagnostics import Diagnostic, Location, Severity

__all__ = ["FILE_FAULTS", "file_fault"]

FILE_FAULTS: dict[str, tuple[str, str]] = {
    "OUT-001": ("file-name-not-writable", "Some disks cannot hold such a name, or it leaves the folder."),
    "OUT-002": ("file-names-collide", "Many disks do not tell upper from lower case: one file would hide the other."),
    "OUT-003": ("output-not-a-folder", "The documents are a set of files and need a folder of their own."),
    "OUT-004": ("link-in-output-folder", "A link may lead out of the folder, to files that are not progdoc's."),
    "OUT-005": ("foreign-file-in-the-way", "progdoc replaces only files that it wrote itself."),
    "OUT-006": ("file-edited-by-hand", "Writing it anew would lose what somebody typed into it."),
    "OUT-007": ("manifest-not-readable", "Without its list progdoc cannot tell its own files from yours."),
    "OUT-008": ("disk-refused", "The documents are put in place only when all of them could be written."),
    "OUT-009": ("folder-in-use", "Two runs that write to one folder at once would leave a mixture of both."),
    "OUT-010": (
        "issued-revision-in-the-way",
        "What was issued is never written over: people signed it.",
    ),
    "ATT-001": ("attachment-missing", "The program promises a text that is not in the package."),
    "ATT-002": ("figure-not-usable", "A document carries a plain picture, and nothing that tells where it was taken."),
    "ATT-003": ("attachment-not-a-text", "Whoever gets the program is told that the text is there, and finds none."),
    "LOOK-001": ("look-folder-missing", "The firm's own look is read from a folder inside that of the description."),
    "LOOK-002": ("look-file-not-readable", "A look that is half there would make documents that nobody has seen."),
    "LOOK-003": ("look-file-unknown", "A file that nobody reads would leave a part of the look out, unseen."),
    "LOOK-004": ("look-value-not-understood", "A value that can be read in two ways could end up wrong on the page."),
    "LOOK-005": ("colour-too-pale", "Who reads in poor light, or sees less well, must be able to read every word."),
    "LOOK-006": ("logo-not-usable", "A document carries a plain picture, and nothing that runs or fetches."),
    "LOOK-007": ("reference-not-usable", "Every part of a Word document is set in a style that the file has to hold."),
    "LOOK-008": ("stylesheet-reaches-outside", "A document has to look the same without a network, and tell nobody."),
    "LOOK-009": ("template-not-usable", "A template that fails would leave a section out of the program."),
    "LOOK-010": ("template-leaves-out", "29 CFR 1910.134(c)(1) lists what the written program has to hold."),
    "LOOK-011": ("own-words-against-program", "Whoever reads it can't tell which of two sentences holds."),
    "LOOK-012": ("stylesheet-hides", "Who reads the page has to read the whole program."),
    "START-001": ("file-in-the-way", "A description that somebody wrote is never overwritten."),
    "START-002": ("folder-not-writable", "The description has to be written somewhere."),
    "ISSUE-001": ("revision-number-missing", "A revision without a number can't be told from the next one."),
    "ISSUE-002": ("history-entry-missing", "Whoever holds an older copy must be able to see what changed since."),
    "ISSUE-003": ("revision-already-issued", "Two contents under one number: nobody could tell which one they hold."),
    "ISSUE-004": ("number-not-a-name", "The revision's folder is named after its number, and some disks refuse it."),
    "ISSUE-005": ("not-an-issued-revision", "Only what progdoc issued carries the checksums that prove anything."),
    "ISSUE-006": ("issued-file-altered", "What people work by is no longer what was issued."),
    "ISSUE-007": ("issued-file-missing", "The revision is no longer complete."),
    "ISSUE-008": ("file-not-part-of-revision", "A reader would take it for something that was issued."),
    "ISSUE-009": (
        "revision-contradicts-itself",
        "What was issued in one go says one number, one day and one set of rules.",
    ),
    "ISSUE-010": ("digest-differs", "The digest that was written down at issue stands for other content than this."),
    "ISSUE-011": ("chain-broken", "A revision that was issued later holds the digest that the earlier one had then."),
    "ISSUE-012": ("not-made-from-description", "Every page of a revision follows from the description it holds."),
    "ISSUE-013": ("not-to-be-made-again", "Only the same description, rules and program make the same bytes again."),
    "ISSUE-014": ("revision-not-readable", "What can't be read proves nothing."),
    "ISSUE-015": (
        "copy-without-description",
        "What reviewers are handed names no people, so it lacks the description.",
    ),
    "ISSUE-016": ("signing-key-not-usable", "A signature says whose it is only if the key is that one's own."),
    "ISSUE-017": ("signing-library-missing", "Who never signs need not install what signing takes."),
    "ISSUE-018": ("signed-by-another-key", "A signature stays with what was signed, and nobody's is replaced."),
    "ISSUE-019": ("signature-missing", "A revision that nobody signed may be anybody's."),
    "ISSUE-020": ("signature-does-not-hold", "Only the holder of the key can make it, and for these bytes alone."),
    "ISSUE-021": ("keys-not-readable", "Who may sign has to be known before a signature proves anything."),
    "ISSUE-022": (
        "worker-named-on-the-cover",
        "What is issued stays, and whose mask it is is their own matter.",
    ),
    "SHEET-001": ("folder-not-empty", "A table that somebody filled in is never overwritten."),
    "SHEET-002": ("folder-not-writable", "The tables have to be written somewhere."),
    "LETTER-001": ("folder-not-empty", "A letter that was written before is never overwritten."),
    "LETTER-002": ("folder-not-writable", "The letters have to be written somewhere."),
    "LETTER-003": ("nobody-to-write-to", "Without anything due there is nothing to say."),
    "RENEW-001": ("folder-not-empty", "A description that somebody wrote is never overwritten."),
    "RENEW-002": ("folder-not-writable", "The new description has to be written somewhere."),
    "RENEW-003": ("revision-number-unclear", "Only from a number is it plain which one comes next."),
    "RENEW-004": ("not-to-be-spliced", "A file is changed only where it is plain what every other byte means."),
    "RENEW-005": ("effective-not-later", "A revision that takes effect before the last one would change the past."),
    "RENEW-006": ("worksheet-not-readable", "Only a worksheet that progdoc made can be read back."),
    "RENEW-007": ("worksheet-of-another-renewal", "An answer holds for what its giver had before their eyes."),
    "RENEW-008": ("answer-not-understood", "An answer that can be read in two ways could end up wrong in the program."),
    "RECORD-001": ("nothing-of-that-name", "An entry under a name that leads nowhere would belong to nobody."),
    "RECORD-002": ("day-to-come", "A record says what has happened."),
    "RECORD-003": ("cannot-have-happened", "A record that can't be true hides the one that is missing."),
    "RECORD-004": ("not-to-be-spliced", "A file is changed only where it is plain what every other byte means."),
    "RECORD-005": ("not-told", "Nothing is entered that nobody said."),
    "RECORD-006": (
        "table-of-events-unreadable",
        "From a table that is read wrongly, records land with the wrong person.",
    ),
    "RECORD-008": ("table-kept-by-hand", "Of a spreadsheet of somebody's own only the cells of an entry change."),
    "RECORD-007": ("changed-meanwhile", "What somebody else has typed in the meantime would be lost."),
    "RECORD-009": ("form-not-ours", "What another firm's form says did not happen here."),
    "RECORD-010": (
        "form-altered",
        "Of a form that lacks fields, or says it is another, nobody knows what is gone.",
    ),
    "RECORD-011": ("form-not-understood", "Nothing is guessed of what somebody wrote."),
    "RECORD-012": ("form-half-filled", "A record lacks nothing that the law wants in it, or is not made."),
    "RECORD-013": ("health-answer-on-form", "Health answers belong to the health professional alone."),
    "RENEW-010": ("site-not-described", "A worksheet for a site that nobody described would ask after nothing there."),
    "RENEW-009": ("health-answer-on-worksheet", "Health answers belong to the health professional alone."),
}


def file_fault(code: str, place: Location, what: str, fix: str) -> Diagnostic:
    """Return a fault of a file, which keeps everything from being written."""
    name, why = FILE_FAULTS[code]
    return Diagnostic(place, code, name, Severity.INVALID, what, why, fix)
