"""What can be recorded, and what each kind of event takes. Plain words alone: the command line's help is made of them.

What an option is called here, with its hyphens, is what a column of a table of events is headed.
"""

from progdoc.core.paper_language import marked

__all__ = ["ALL", "KINDS", "OPTIONS"]

ALL = "all"  # everybody who has not left; every topic

# What may be told of an event: what stands for its value in the help, and what it says.
OPTIONS: dict[str, tuple[str, str]] = {
    "about": ("LIST", "what was asked about, with commas between: fit, selection, use, maintenance"),
    "agent": ("NAME", "the agent whose standard asks for the examination"),
    "archive": ("YES-NO", "yes: their records move out of the daily file into the list `former_people`"),
    "because": ("TEXT", "why"),
    "by": ("NAME", "who did it"),
    "called-for": (
        "WORD",
        "what called for it: symptoms-reported, professional-supervisor-or-officer-asks,"
        " fit-test-or-evaluation-shows-need or work-becomes-harder-on-the-body",
    ),
    "carbon-dioxide": ("LEVEL", "what was found, such as 400 ppm"),
    "carbon-monoxide": ("LEVEL", "what was found, such as 2 ppm"),
    "copy-given": ("YES-NO", "whether the recommendation says that the worker has a copy"),
    "correction": ("TEXT", "what is done about it"),
    "cylinder": ("IDS", "cylinders by their ids, with commas between"),
    "declined": ("YES-NO", "whether the worker did not want the examination"),
    "due": ("DATE", "by when it is to be corrected"),
    "elsewhere": ("YES-NO", "whether an earlier employer gave it"),
    "enclosure": ("YES-NO", "irritant smoke: whether a hood or other enclosure was used"),
    "factor": ("NUMBER", "overall fit factor of a quantitative test"),
    "filter": ("ID", marked("the filter or cartridge")),
    "filters": ("CLASS", "class of the filters fitted in the test, such as P100"),
    "finding": ("TEXT", "what was found; of a correction the id of the finding"),
    "findings": ("TEXT", "what was found"),
    "entry": ("IDS", "entries of the calendar by their ids, with commas between"),
    "follow-up-pending": ("YES-NO", "whether an examination is still to come"),
    "gear": ("LIST", "what else was worn in the test, with commas between; or: none"),
    "group": ("ID", "the group of people they belong to"),
    "how": ("TEXT", "on paper, by screen or read out, and by whom"),
    "id": ("ID", "a short name that never changes (default: made of the name)"),
    "job": ("TEXT", "what they do"),
    "kit": ("TEXT", "what was handed out with it"),
    "knowledge-shown": ("YES-NO", "whether they showed that they know it"),
    "language": ("NAME", "in which language"),
    "limits": (
        "LIST",
        "limits on mask use, with commas between: powered-mask-only, no-negative-pressure, no-scba, light-work-only,"
        " limited-time, no-hot-work-places, no-emergency-use",
    ),
    "mask": ("ID", "the mask, by id or name"),
    "masks": ("IDS", "the masks, with commas between"),
    "name": ("NAME", "the full name"),
    "next": ("DATE", "when the next is due"),
    "next-review": ("DATE", "the next review, if the professional set one"),
    "off": ("IDS", "the tasks that they do no more, with commas between"),
    "oil": ("LEVEL", "what was found, such as 1 mg/m3"),
    "owner": ("NAME", "who sees to it"),
    "oxygen-high": ("SHARE", "the highest share found, such as 21 %%"),
    "oxygen-low": ("SHARE", "the lowest share found, such as 20.5 %%"),
    "passed": ("YES-NO", "whether it met the maker's figures"),
    "own-language": ("CODE", "the language of their card, such as es"),
    "pressure": (
        "SHARE",
        "of a cylinder: a share of what it is rated for (98 %%), or as its gauge shows (4400 psi)",
    ),
    "protocol": (
        "NAME",
        "the Appendix A protocol; by taste, smell or smoke: saccharin, denatonium, isoamyl-acetate, irritant-smoke;"
        " by an instrument: ambient-cnc, ambient-cnc-short-elastomeric, ambient-cnc-short-filtering, generated-aerosol,"
        " controlled-negative-pressure, controlled-negative-pressure-redon",
    ),
    "nothing-before": ("TIME", "how long before it nothing was eaten, smoked or chewed, and only water drunk: 15 min"),
    "reacted-after": ("YES-NO", "irritant smoke: whether the wearer reacted to it unmasked after the test"),
    "readings": ("NUMBERS", "the fit factor of every reading, with blanks between"),
    "recommendation": ("WORD", "cleared, cleared-with-limits or not-cleared"),
    "recording": ("NAME", "where the strip chart or printout is kept"),
    "remedy": ("TEXT", "what had to be done, or none"),
    "result": ("WORD", marked("what came of it")),
    "retest": ("YES-NO", "whether it was made after a failed test of the same day, the mask refitted or chosen anew"),
    "revision": ("NUMBER", "the revision of the program that was read and signed for"),
    "to": ("IDS", "the tasks that they do from now on, with commas between"),
    "told": ("TEXT", "what came up"),
    "screened": ("YES-NO", "taste, smell or smoke: whether the wearer noticed the screening dose"),
    "size": ("SIZE", "the size"),
    "tasks": ("IDS", "the tasks, with commas between"),
    "tester": ("NAME", "who gave the test"),
    "topics": ("LIST", "all, or topics of (k)(1) with commas between"),
    "unit": (
        "IDS",
        marked(
            "single masks, or cylinders in reserve, by their ids, with commas between; where they were looked at or"
            " tested also all, a kind of mask or a post, for those in use"
        ),
    ),
    "unpowered": ("YES-NO", "a powered or air-supplied facepiece: whether tested in negative-pressure mode"),
    "what": ("WORD", "scar, dental, surgery, weight or fit-unacceptable"),
    "who": ("IDS", marked("ids or names of people, with commas between; all: everybody who has not left")),
}

# Each kind: what happened, what has to be said of it, what may be said, and an example of the command's end.
KINDS: dict[str, tuple[str, tuple[str, ...], tuple[str, ...], str]] = {
    "training": (
        "people were trained",
        ("who",),
        ("topics", "by", "knowledge-shown", "language", "elsewhere"),
        '--who all --topics all --by "Ada Brook"',
    ),
    "fit-test": (
        "somebody was fit-tested; a day of tests is one table",
        ("who", "mask"),
        (
            "size",
            "protocol",
            "result",
            "factor",
            "tester",
            "screened",
            "readings",
            "filters",
            "gear",
            "unpowered",
            "enclosure",
            "reacted-after",
            "nothing-before",
            "retest",
            "recording",
        ),
        '--from fit-day.csv --tester "Ada Brook"',
    ),
    "medical": (
        "the health professional's written recommendation came",
        ("who", "recommendation"),
        ("limits", "next-review", "follow-up-pending", "copy-given"),
        "--who jo-marsh --recommendation cleared --copy-given yes",
    ),
    "reevaluation": (
        "something called for another medical evaluation",
        ("who",),
        ("called-for",),
        "--who jo-marsh --called-for symptoms-reported",
    ),
    "examination": (
        "an examination that an agent's standard asks for was made, or declined",
        ("who", "agent"),
        ("declined",),
        "--who jo-marsh --agent lead",
    ),
    "face-change": (
        "a face changed so that the fit may be spoilt",
        ("who", "what"),
        (),
        "--who jo-marsh --what dental",
    ),
    "information": (
        "voluntary wearers were given the information of Appendix D",
        ("who",),
        ("how",),
        '--who jo-marsh --how "read out by Ada Brook"',
    ),
    "reading": (
        "people signed that they have read a revision",
        ("who", "revision"),
        (),
        "--who all --revision 2026.1",
    ),
    "joining": (
        "somebody new begins; clearance, training, fit test and issue are entered next",
        ("name",),
        ("id", "job", "group", "own-language", "to"),
        '--name "Ida Moss" --to scrape-sashes',
    ),
    "request": (
        "a mask was asked for, or prescribed for somebody",
        ("who",),
        (),
        "--who jo-marsh",
    ),
    "consent": (
        "people signed the consent form of their group",
        ("who",),
        (),
        "--who jo-marsh",
    ),
    "hair-rule": (
        "people accepted the firm's rule on facial hair",
        ("who",),
        (),
        "--who all",
    ),
    "issue": (
        "a mask was handed to somebody",
        ("who", "mask"),
        ("size", "kit"),
        "--who jo-marsh --mask half-mask --size M",
    ),
    "return": (
        "somebody gave a mask back",
        ("who", "mask"),
        (),
        "--who jo-marsh --mask half-mask",
    ),
    "transfer": (
        "somebody went over to other work",
        ("who",),
        ("to", "off"),
        "--who jo-marsh --to varnish --off scrape-sashes",
    ),
    "leaving": (
        "somebody left the firm, or wears no mask any more",
        ("who",),
        ("archive",),
        "--who jo-marsh --archive yes",
    ),
    "inspection": (
        "single masks, or cylinders in reserve, were inspected",
        ("unit", "result"),
        ("by", "pressure", "findings", "remedy"),
        '--unit scba-1,scba-2 --result serviceable --findings "In order" --remedy none --by "Jo Marsh"',
    ),
    "flow-test": (
        "single masks were tested on a bench",
        ("unit", "passed"),
        ("by",),
        '--unit scba-1,scba-2 --passed yes --by "The maker\'s service centre"',
    ),
    "requalification": (
        "cylinders were tested again, as their stamps say",
        ("cylinder", "next"),
        (),
        "--cylinder cylinder-1,spare-1 --next 2031-11-24",
    ),
    "withdrawal": (
        "a kind of mask, or single ones, were taken out of use",
        ("because",),
        ("mask", "unit"),
        '--mask half-mask --because "Recalled by the maker"',
    ),
    "routine": (
        "what the firm has on a calendar of its own was done",
        ("entry",),
        (),
        "--entry meter-check",
    ),
    "cleaning": (
        "masks were cleaned",
        ("masks",),
        ("by",),
        '--masks half-mask --by "Jo Marsh"',
    ),
    "filter-change": (
        "filters or cartridges were changed",
        ("filter",),
        ("tasks", "by", "because"),
        "--filter ov-p100 --tasks varnish",
    ),
    "air-test": (
        "the breathing air was analysed",
        (),
        ("oxygen-low", "oxygen-high", "oil", "carbon-monoxide", "carbon-dioxide"),
        '--carbon-monoxide "2 ppm"',
    ),
    "evaluation": (
        "the program was evaluated; a finding is entered with what is done about it",
        (),
        ("finding", "correction", "owner", "due"),
        '--finding "Two storage boxes missing" --correction "Boxes bought" --owner "Jo Marsh" --due 2026-12-15',
    ),
    "correction": (
        "what an evaluation had found was put right",
        ("finding",),
        (),
        "--finding boxes-missing",
    ),
    "consultation": (
        "wearers were asked how the program works for them",
        (),
        ("who", "about", "by", "told"),
        '--who all --about fit,use --told "Straps wear out"',
    ),
}
