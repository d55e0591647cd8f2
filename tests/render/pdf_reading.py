"""What the PDF tests read with pikepdf. Knows nothing of the code under test."""

from collections.abc import Iterator
from typing import Any

import pikepdf

PAINTING = {"Tj", "TJ", "'", '"', "Do", "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "EI"}


def kids(element: Any) -> list[Any]:
    found = element.get("/K")
    if found is None:
        return []
    return list(found) if isinstance(found, pikepdf.Array) else [found]


def is_element(thing: Any) -> bool:
    return isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/StructElem"


def elements(pdf: pikepdf.Pdf) -> list[Any]:
    """Every structure element, in reading order."""

    def walk(element: Any) -> Iterator[Any]:
        yield element
        for kid in kids(element):
            if is_element(kid):
                yield from walk(kid)

    return list(walk(pdf.Root.StructTreeRoot.K))


def of_type(pdf: pikepdf.Pdf, *types: str) -> list[Any]:
    return [element for element in elements(pdf) if str(element.S)[1:] in types]


def outline(element: Any) -> str:
    """The shape of an element: `LI(Lbl LBody(P))`."""
    inner = " ".join(outline(kid) for kid in kids(element) if is_element(kid))
    return str(element.S)[1:] + (f"({inner})" if inner else "")


def find(pdf: pikepdf.Pdf, type_: str) -> Any:
    """The one element of this type."""
    (element,) = of_type(pdf, type_)
    return element


def marks_of(element: Any) -> Iterator[tuple[tuple[int, int], int]]:
    """(page object, mark) for each mark that the element holds itself."""
    for kid in kids(element):
        if isinstance(kid, int):
            yield element.Pg.objgen, kid
        elif isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") == "/MCR":
            yield kid.Pg.objgen, int(kid.MCID)


def page_marks(page: pikepdf.Page) -> tuple[list[int], list[str]]:
    """The marks of a page, in painting order, and the painting operators outside any mark or artifact."""
    stack: list[Any] = []
    marks, stray = [], []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "BDC":
            stack.append(operands)
            if "/MCID" in operands[1]:
                assert len(stack) == 1, "marks are nested"
                marks.append(int(operands[1].MCID))
        elif name == "BMC":
            stack.append(operands)
        elif name == "EMC":
            stack.pop()
        elif name in PAINTING and not any(op[0] == "/Artifact" or len(op) == 2 for op in stack):
            stray.append(name)
    assert not stack
    return marks, stray


def artifacts(page: pikepdf.Page) -> list[str]:
    """The kinds of artifact that carry a property list, in painting order."""
    return [
        str(operands[1].Type)[1:]
        for operands, operator in pikepdf.parse_content_stream(page)
        if str(operator) == "BDC" and operands[0] == "/Artifact"
    ]
