"""HTML and SVG written element by element, so that no text gets in unescaped."""

from html import escape

#: Elements without an end tag.
_VOID = frozenset({"meta", "br", "line", "rect", "circle", "path"})


class Markup(str):
    """Text that is markup already; only `element` and `joined` make it."""

    __slots__ = ()


def text(value: object) -> Markup:
    """Escape a text; markup stays what it is."""
    return value if isinstance(value, Markup) else Markup(escape(_printable(str(value)), quote=True))


def joined(*parts: object, between: str = "") -> Markup:
    """Put parts one after the other, escaping those that are no markup."""
    return Markup(text(between).join(text(part) for part in parts if part is not None))


def element(name: str, /, *children: object, **attributes: object) -> Markup:
    """Write one element.

    Parameters
    ----------
    name
        Its name; only names of this package, never a user's text.
    *children
        What stands in it; texts are escaped, None is left out.
    **attributes
        Its attributes, values escaped. A trailing underscore keeps clear of Python's words, other
        underscores become hyphens; None leaves an attribute out.

    Examples
    --------
    >>> element("p", "5 < 6", class_="quiet")
    '<p class="quiet">5 &lt; 6</p>'
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{text(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in _VOID and not children:
        return Markup(f"<{name}{written}/>")
    return Markup(f"<{name}{written}>{joined(*children)}</{name}>")


def _printable(value: str) -> str:
    """Leave out control characters and direction marks, which no document of ours needs."""
    if value.isprintable():  # nearly every text; looking at each character takes long in a group
        return value
    return "".join(char for char in value if char in "\n\t" or char.isprintable())
