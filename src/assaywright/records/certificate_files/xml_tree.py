"""An XML file as a tree of elements that know their lines; without a document type, entities, network or other files.

A document type is what entities are declared in, so a file that has one is refused before anything of it is expanded:
no entity names another file or address, and none grows into millions of characters.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

from assaywright.metrology.refusal import Refusal

DEEPEST, MOST_ELEMENTS = 60, 50_000
SEPARATOR = " "  # between namespace and name, which hold none


@dataclass
class Element:
    """An element.

    Fields:
        space, name: its namespace and its name in it.
        line: on which it begins in the file.
        attributes: by name, those in a namespace left out.
        text: all that stands directly in it.
        children: in order.
    """

    space: str
    name: str
    line: int
    attributes: dict[str, str] = field(default_factory=dict)
    text: str = ""
    children: list["Element"] = field(default_factory=list)

    @property
    def where(self) -> str:
        """Where it stands, as a sentence about it says."""
        return f"element {self.name}, line {self.line}"

    def only(self, *names: str) -> "Element | None":
        """Return the first element under these names, one inside the other, or None."""
        found: Element | None = self
        for name in names:
            found = next((one for one in found.children if one.name == name), None) if found else None
        return found

    def every(self, name: str) -> Iterator["Element"]:
        """Yield all elements of a name, however deep, in the order of the file."""
        for one in self.children:
            if one.name == name:
                yield one
            yield from one.every(name)

    def said(self, *names: str) -> str:
        """Return the text of the first element under these names, without spaces around it; empty where there is none.

        Of an element that holds texts in several languages, the English one, or the first.
        """
        found = self.only(*names)
        if found is None:
            return ""
        contents = [one for one in found.children if one.name == "content"]
        english = [one for one in contents if one.attributes.get("lang") == "en"]
        texts = english or contents[:1] or [found]
        return " ".join(texts[0].text.split())


def read_xml(data: bytes) -> Element:
    """Return the root of an XML file.

    Raises:
        Refusal: it is not well formed, states a document type, is nested deeper than 60 or has more than 50,000
            elements.
    """
    reading = _Reading()
    try:
        reading.parser.Parse(data, True)  # noqa: FBT003 - whole at once, and the parser takes no name for it
    except expat.ExpatError as problem:
        raise Refusal(f"the file is no well-formed XML ({expat.ErrorString(problem.code)}, line {problem.lineno})",
                      remedy="ask for the file anew, or type the certificate in") from None
    return Refusal.unless(reading.root, "the file holds no element", remedy="ask for the file anew")


class _Reading:
    """Building the tree while the file is parsed."""

    def __init__(self) -> None:
        self.root: Element | None = None
        self.open: list[Element] = []
        self.number = 0
        self.parser: Any = expat.ParserCreate(namespace_separator=SEPARATOR)
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._document_type
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text

    def _document_type(self, name: str, *_: object) -> None:
        raise Refusal(f"the file states a document type, {name[:40]}, and what that may draw in is never read",
                      where=f"line {self.parser.CurrentLineNumber}",
                      remedy="ask for the file without it, or type the certificate in")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.number += 1
        if len(self.open) >= DEEPEST or self.number > MOST_ELEMENTS:
            raise Refusal("the file is nested deeper, or has more elements, than any certificate",
                          where=f"line {self.parser.CurrentLineNumber}", remedy="type the certificate in")
        space, _, local = name.rpartition(SEPARATOR)
        plain = {key.rpartition(SEPARATOR)[2]: text for key, text in attributes.items()}
        made = Element(space, local, self.parser.CurrentLineNumber, plain)
        if self.open:
            self.open[-1].children.append(made)
        else:
            self.root = made
        self.open.append(made)

    def _end(self, _: str) -> None:
        self.open.pop()

    def _text(self, text: str) -> None:
        if self.open:
            self.open[-1].text += text
