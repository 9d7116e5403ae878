"""A report with one finding of every kind, in our invented scenario."""

from __future__ import annotations

from datetime import date

from progdoc.core.barred import Barred, Why
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity
from progdoc.core.questions import AskedField, Question
from progdoc.core.report import Report, RequirementStatus, Status, is_accepted

MASK = Diagnostic(
    Location("firm/tasks.yaml", 12, 5, "tasks[0].masks[0]"),
    "SEL-001",
    "mask-protects-too-little",
    Severity.REQUIRED,
    "half-p100 in scrape-sashes: protects up to 10 times the limit, the air holds 14 times the limit",
    "A mask has to bring what is breathed in down to the limit or below.",
    "Take a mask with an assigned protection factor of 14 or more under tasks[0].masks.",
    "29 CFR 1910.134(d)(3)(i)(A)",
    ("tasks.scrape-sashes", "masks.half-p100"),
)
FIT = Diagnostic(
    Location("firm/people.yaml", 42, 14, "people[3].fit_tests"),
    "FIT-002",
    "annual-fit-test-overdue",
    Severity.REQUIRED,
    "jo-marsh: last fit test 2025-02-01, due 2026-02-01",
    "A tight-fitting facepiece protects only a face it still fits.",
    "Record a fit test dated after 2025-11-24 under people[3].fit_tests.",
    "29 CFR 1910.134(f)(2)",
    ("people.jo-marsh", "masks.half-p100"),
    Scope.RECORD,
    Audience.RESTRICTED,
)
OFFICER = Diagnostic(
    Location("firm/program.yaml", 3, 1, "officer"),
    "ADM-001",
    "officer-without-qualification",
    Severity.REQUIRED,
    "officer: nothing is said about training or experience",
    "Whoever runs the program must be able to.",
    "Say under officer.qualifications what training or experience the officer has.",
    "29 CFR 1910.134(c)(3)",
    ("officer",),
)
STORAGE = Diagnostic(
    Location("firm/program.yaml", 0, 0, "procedures.storage"),
    "STO-001",
    "storage-not-described",
    Severity.REQUIRED,
    "procedures.storage is missing",
    "A mask bent out of shape in a van no longer fits.",
    "Say under procedures.storage where and how masks are kept.",
    "29 CFR 1910.134(h)(2)(i)",
)
KEY = Diagnostic(
    Location("firm/program.yaml", 7, 1, "metod"),
    "MODEL-003",
    "unknown-key",
    Severity.INVALID,
    "`metod` is not a key that is known here",
    "A key that is not understood would be passed over in silence.",
    "Did you mean `method`?",
)
CAUTION = Diagnostic(
    Location("firm/masks.yaml", 9, 3, "masks[1]"),
    "MSK-004",
    "approval-number-unusual",
    Severity.CAUTION,
    "TC-99X-1 does not look like an approval number",
    "An approval is read from the label.",
    "Copy the number from the label.",
    subject=("masks.full-p100",),
)
ACCEPTED = Diagnostic(
    Location("firm/masks.yaml", 20, 3, "masks[2]"),
    "MSK-005",
    "spectacle-kit-missing",
    Severity.ADVICE,
    "full-p100 has no spectacle kit",
    "Spectacles break the seal.",
    "Order the kit.",
    subject=("masks.full-p100",),
    accepted="nobody on the crew wears spectacles (Ada Quill, until 2027-06-01)",
)

ROWS = (
    RequirementStatus("ADM-001", OFFICER.name, OFFICER.citation, Status.GAP, "no qualification is given", ("officer",)),
    RequirementStatus("FIT-002", FIT.name, FIT.citation, Status.GAP, "jo-marsh is overdue", FIT.subject),
    RequirementStatus(
        "FIT-002", FIT.name, FIT.citation, Status.MET, "sam-tarn was tested 2026-09-01", ("people.sam-tarn",)
    ),
    RequirementStatus(
        "AIR-001",
        "breathing-air-not-shown",
        "29 CFR 1910.134(i)(1)",
        Status.NOT_APPLICABLE,
        "no supplied air",
    ),
    RequirementStatus(
        "CHG-001",
        "change-schedule-missing",
        "29 CFR 1910.134(d)(3)(iii)",
        Status.UNDETERMINED,
        "agent unknown",
    ),
    RequirementStatus(
        "TRN-001",
        "training-missing",
        "29 CFR 1910.134(k)(1)",
        Status.MET,
        "described",
        evidence=("training.topics",),
        answered_in=("training",),
    ),
)
PLACE = AskedField("procedures.storage.where", "Where", "text", False, (), ("Cupboard",), "Where masks are kept.")


def sample_report(**changes: object) -> Report:
    values: dict[str, object] = {
        "on": date(2026, 11, 24),
        "rules_pack": "us-federal",
        "rules_version": "2026.1",
        "title": "Respiratory protection program",
        "revision": "3",
        "findings": (ACCEPTED, CAUTION, STORAGE, FIT, OFFICER, KEY, MASK),
        "requirements": ROWS,
        "version": "0.1.0",
        "barred": (Barred("scrape-sashes", Why.MASKS, ("half-p100",)),),
        "barring": frozenset({"SEL-001"}),
        "names": {"tasks.scrape-sashes": "Scraping sashes", "masks.half-p100": "Half mask P100"},
    }
    values |= changes
    if not any(finding.code in values["barring"] for finding in values["findings"]):
        values["barred"] = changes.get("barred", ())
    values.setdefault("questions", tuple(question(f) for f in values["findings"] if is_open(f)))
    return Report(**values)


def is_open(finding: Diagnostic) -> bool:
    return finding.severity is not Severity.INVALID and not is_accepted(finding)


def question(finding: Diagnostic) -> Question:
    """Return a question that one finding alone belongs to."""
    return Question(
        id=finding.code.lower(),
        section="storage",
        subject=finding.subject[:1],
        names=finding.subject[:1],
        asks=f"What is to be done about {finding.name} of {''.join(finding.subject[:1]) or 'the program'}?",
        why=finding.why,
        cites=(finding.citation,),
        fields=(PLACE,),
        findings=(finding,),
        is_danger=finding.code.startswith("SEL-"),
    )
