"""Templates in another language: which passages they are cut into, and where a translation may put its values."""

from __future__ import annotations

from collections.abc import Mapping

from document.reading import of_type
from jinja2 import Environment
from programs.whole import judged_whole

from progdoc.core.paper_language import language_of
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.said_templates import SpokenEnvironment, passages_of
from progdoc.document.templating.templates import own_templates, shipped_templates
from progdoc.document.tree.nodes import Section, Text

SPANISH = language_of("es")


def passages(source: str) -> list[str]:
    return [
        passage
        for passage, _line in passages_of(Environment(comment_start_string="<#", comment_end_string="#>").parse(source))
    ]


def in_words(source: str, words: Mapping[str, str], **context: object) -> str:
    environment = SpokenEnvironment(lambda passage: words.get(passage, passage))
    return environment.from_string(source).render(context)


def test_a_line_is_a_passage_without_what_frames_it() -> None:
    source = "## Masks {#masks}\n\n- Who: {{ phrase(a.by) }}.\n1. Wash it.\n!!! note\n    Read this.\n| Task | Mask |\n"
    assert passages(source) == ["Masks", "Who: %(by)s.", "Wash it.", "Read this.", "Task", "Mask"]


def test_a_tag_ends_a_passage_and_a_comma_before_more_is_no_part_of_it() -> None:
    source = "Sites: {% for s in sites %}{{ s.name }}{% if s.state %}, in {{ s.state }}{% endif %}{% endfor %}."
    assert passages(source) == ["Sites:", "in %(state)s"]


def test_texts_in_quotes_are_passages_where_they_are_printed_and_nowhere_else() -> None:
    source = (
        '{% call fact("TSK-001", name="Where") %}{{ "yes" if a.kind == "dust" else "no" }}{% endcall %}'
        '{{ {"booth": "In a booth"}[place] }}{{ ref("sums") }}{{ "ceiling at " ~ a.ceiling }}'
    )
    assert sorted(passages(source)) == ["In a booth", "Where", "ceiling at %(ceiling)s", "no", "yes"]


def test_values_of_one_name_are_told_apart_and_the_same_value_is_one_place() -> None:
    assert passages("{{ a.by }} and {{ b.by }} and {{ a.by }}") == ["%(by)s and %(by2)s and %(by)s"]


def test_a_translation_puts_values_where_its_language_wants_them() -> None:
    words = {"Who: %(by)s on %(day)s.": "El %(day)s: %(by)s."}
    assert in_words("- Who: {{ a.by }} on {{ a.day }}.", words, a={"by": "X", "day": "Y"}) == "- El Y: X."


def test_spanish_templates_ask_what_the_english_ones_ask() -> None:
    """The same sections, answers and codes in the same order, whatever the words."""
    found = judged_whole("restoration_2026")
    english = written_program(found, shipped_templates())
    spanish = written_program(found, shipped_templates(), language=SPANISH, in_english=english)
    for here, there in ((english.program, spanish.program), (english.annex, spanish.annex)):
        assert [one.id for one in of_type(here, Section)] == [one.id for one in of_type(there, Section)]
    assert english.answers == spanish.answers


def test_a_template_of_the_firm_stays_as_it_was_written_and_is_marked() -> None:
    name = "sections/storage.md.j2"
    text = "# Where masks live {#storage}\n\nOur masks live in the {{ organisation.name }} hut.\n"
    own = own_templates({name: text})
    written = written_program(judged_whole("restoration_2026"), own, language=SPANISH)
    (section,) = (one for one in written.program.blocks if isinstance(one, Section) and one.id == "storage")
    assert section.title == "Where masks live"
    words = [(text.text, text.language) for text in of_type(section, Text) if text.text.strip(" .")]
    assert words[0] == ("Our masks live in the ", "en-US") and words[-1] == (" hut.", "en-US")
