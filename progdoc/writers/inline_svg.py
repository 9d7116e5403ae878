"""Puts a drawing into an HTML page: named for screen readers, its ids its own, nothing that runs.

Refuses a drawing that is not well-formed SVG, or that holds a script, a handler or an outside address: the
drawings are ours, so that is our fault and raises.
"""

from __future__ import annotations

import re
from html import escape
from xml.etree import ElementTree

from progdoc.core.errors import ProgdocError

__all__ = ["inline_svg"]

_NAMESPACE = "{http://www.w3.org/2000/svg}"
_REFUSED = {"a", "foreignObject", "iframe", "image", "script"}
_LOCAL_URL = re.compile(r"url\(\s*['\"]?#([^'\"()\s]+)['\"]?\s*\)")


def inline_svg(svg: str, node_id: str, title: str, description: str) -> str:
    """Return the drawing as markup for a page, with `title` and, if there is one, `description` read out for it."""
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        raise ProgdocError(f"figure {node_id!r}: not well-formed SVG: {error}") from error
    if root.tag not in (f"{_NAMESPACE}svg", "svg"):
        raise ProgdocError(f"figure {node_id!r}: the drawing's root is {root.tag!r}, not svg")
    for name in ("role", "aria-labelledby", "aria-label", "id"):
        root.attrib.pop(name, None)
    for child in list(root):
        if _local(child.tag) in ("title", "desc"):
            root.remove(child)
    inner = escape(root.text or "") + "".join(_markup(child, node_id) for child in root)
    name = escape(node_id)
    named, told = f"{name}--title", ""
    if description:
        named, told = f"{named} {name}--desc", f'<desc id="{name}--desc">{escape(description)}</desc>'
    return (
        f'<svg role="img" aria-labelledby="{named}"{_attributes(root, node_id)}>'
        f'<title id="{name}--title">{escape(title)}</title>{told}{inner}</svg>'
    )


def _local(name: str) -> str:
    return name.rpartition("}")[2]


def _markup(element: ElementTree.Element, node_id: str) -> str:
    tag = _local(element.tag)
    if tag in _REFUSED:
        raise ProgdocError(f"figure {node_id!r}: the drawing holds <{tag}>")
    inner = escape(element.text or "", quote=False) + "".join(_markup(child, node_id) for child in element)
    return f"<{tag}{_attributes(element, node_id)}>{inner}</{tag}>" + escape(element.tail or "", quote=False)


def _attributes(element: ElementTree.Element, node_id: str) -> str:
    """Return the attributes as markup; ids and what points at them carry the figure's id in front."""
    parts = []
    for full_name, value in element.attrib.items():
        name = _local(full_name)
        if name.lower().startswith("on") or (name == "href" and not value.startswith("#")):
            raise ProgdocError(f"figure {node_id!r}: the drawing holds {name}={value!r}")
        if name == "id":
            value = f"{node_id}--{value}"
        elif name == "href":
            value = f"#{node_id}--{value[1:]}"
        else:
            value = _LOCAL_URL.sub(lambda found: f"url(#{node_id}--{found[1]})", value)
            if "url(" in value.replace(f"url(#{node_id}--", ""):
                raise ProgdocError(f"figure {node_id!r}: the drawing reaches outside: {name}={value!r}")
        parts.append(f' {name}="{escape(value)}"')
    return "".join(parts)
