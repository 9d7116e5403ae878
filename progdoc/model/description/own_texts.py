"""What a firm writes in its own words: sections with lists, tables and pictures, and the words that it defines."""

import re
from typing import Annotated

from pydantic import Field, WithJsonSchema

from progdoc.core.said import said as said_message
from progdoc.model.description.base import Described, said
from progdoc.model.description.scalars import Id, Reader, Text
from progdoc.model.description.typed_text import one_text, short_text

__all__ = ["Definition", "OwnFigure", "OwnSection", "PlaceName"]

_LONGEST_PLACE = 130
_A_SECTION = said_message("the name of a section such as `storage`")
_PLACE = re.compile(r"[a-z0-9]+(?:[.-][a-z0-9]+)*")


def as_place(value: object) -> str:
    """Return the name of a section as it is spelt: `storage`, or a part of one: `storage.emergency`.

    >>> as_place("Fit testing")
    'fit-testing'
    """
    text = one_text(value, _A_SECTION).lower()
    text = "-".join(text.replace("_", "-").split())
    if len(text) <= _LONGEST_PLACE and _PLACE.fullmatch(text):
        return text
    raise ValueError(
        said_message(
            "%(shown)s is no name of a section. Write for example `storage`, or a part of it such as"
            " `storage.emergency`; the words behind # in the address of the page are its name.",
            shown=f"`{short_text(text)}`",
        )
    )


PlaceName = Annotated[
    str,
    Reader(as_place),
    WithJsonSchema({"type": "string", "examples": ["storage", "storage.emergency"], "minLength": 1}),
]


class OwnFigure(Described):
    """A picture in a text of the firm's own."""

    attachment: Id = Field(
        title="Attachment", description="The id of an attachment that is a PNG or a JPEG.", examples=["yard-plan"]
    )
    caption: Text = Field(title="Caption", description="What stands below it.", examples=["Where the masks hang"])
    alternative: Text = Field(
        title="Alternative",
        description="What it shows, in words, for those who do not see it.",
        examples=["Plan of the yard: the mask lockers are to the left of the gate"],
    )


class OwnSection(Described):
    """The firm's own words at a place of its choice: printed as written, held against the rest like any text."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["dust-rules"])
    after: PlaceName | None = said(
        "After",
        "The section at whose end it stands, as a part of it; or the part of one (`storage.emergency`) behind it.",
        "use",
    )
    before: PlaceName | None = said(
        "Before", "In place of `after`: the section, or the part of one, ahead of which it stands.", "inspection"
    )
    inside: PlaceName | None = said(
        "Inside",
        "In place of `after`: the section, or the part of one, at whose end it stands; of the annex too.",
        "storage.emergency",
    )
    title: Text = Field(title="Title", description="Its heading.", examples=["House rules on dust"])
    text: Text = Field(
        title="Text",
        description="An empty line begins a new paragraph. A line may begin with `-` or `1.` for a list, with `#` for a"
        " heading, with `|` for the row of a table; **so** is strong, and `figure: ID` alone is where a figure stands.",
        examples=["Vacuum the bench before you leave it. Never sweep dry."],
    )
    figures: tuple[OwnFigure, ...] = said(
        "Figures",
        "Pictures, in the text where a line says `figure: ID`, behind it where none does.",
        [{"attachment": "yard-plan", "caption": "Where the masks hang", "alternative": "Plan of the yard"}],
        (),
    )


class Definition(Described):
    """A word as the firm uses it."""

    term: Text = Field(title="Term", description="The word.", examples=["Hot zone"])
    means: Text = Field(
        title="Means",
        description="What it means here.",
        examples=["Inside the curtain, while paint comes off."],
    )
