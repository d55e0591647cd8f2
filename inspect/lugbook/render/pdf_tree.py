"""Writes a tree of Nodes into a PDF as its structure tree, in the places that the engine's own tree had."""

from typing import Any

import pydyf

from .pdf_nodes import Link, Mark, Node
from .pdf_structure import StructureBuilder

__all__ = ["TreeWriter"]


class _Null(pydyf.Object):  # type: ignore[misc]
    """Stands where a dropped object stood: pydyf miscounts its cross references if an object is freed."""

    data = b"null"


class TreeWriter:
    """Writes Nodes as structure elements into the places that WeasyPrint's own had."""

    def __init__(self, pdf: Any) -> None:
        self._pdf = pdf
        self._pages = pdf.page_references
        self._free = [
            o for o in pdf.objects if isinstance(o, dict) and o.get("Type") in ("/StructElem", "/OBJR")
        ]
        self._free.reverse()
        self._parents: list[dict[int, bytes]] = [{} for _ in self._pages]
        self._annotations: list[tuple[Any, bytes]] = []

    def write(self, builder: StructureBuilder) -> None:
        root = self._object(self._pdf.catalog["StructTreeRoot"])
        parent_tree = self._object(root["ParentTree"])
        document = self._write(builder.document, root.reference)
        nums: list[Any] = []
        for page, parents in enumerate(self._parents):
            nums += [page, pydyf.Array(parents[number] for number in range(len(parents)))]
        for key, (annotation, parent) in enumerate(self._annotations, start=len(self._pages)):
            annotation["StructParent"] = key
            nums += [key, parent]
        parent_tree["Nums"] = pydyf.Array(nums)
        root["K"] = document.reference
        root["ParentTreeNextKey"] = len(self._pages) + len(self._annotations)
        self._drop_annotations()
        for left in self._free:
            self._drop(left)

    def _write(self, node: Node, parent: bytes) -> Any:
        node = _simplified(node)
        element = self._free.pop() if self._free else self._new()
        element.clear()
        element.update({"Type": "/StructElem", "S": f"/{node.type}", "P": parent})
        page = next((kid.page for kid in node.kids if not isinstance(kid, Node)), None)
        self._describe(element, node)
        kids = [self._kid(kid, element, page, node) for kid in node.kids]
        if kids:
            element["K"] = kids[0] if len(kids) == 1 else pydyf.Array(kids)
        if page is not None:
            element["Pg"] = self._pages[page]
        elif first := next((pg for kid in kids if (pg := self._object(kid).get("Pg"))), None):
            element["Pg"] = first  # where it begins; readers and judges look for it
        return element

    def _kid(self, kid: Node | Mark | Link, element: Any, page: int | None, node: Node) -> Any:
        if isinstance(kid, Node):
            return self._write(kid, element.reference).reference
        here = {"Pg": self._pages[kid.page]}
        if isinstance(kid, Link):
            kid.annotation["Contents"] = pydyf.String(_link_text(node))
            self._annotations.append((kid.annotation, element.reference))
            return pydyf.Dictionary({"Type": "/OBJR", "Obj": kid.annotation.reference} | here)
        self._parents[kid.page][kid.number] = element.reference
        if kid.page == page:
            return kid.number
        return pydyf.Dictionary({"Type": "/MCR", "MCID": kid.number} | here)

    def _describe(self, element: Any, node: Node) -> None:
        if alt := node.alt or (_link_text(node) if _is_picture_link(node) else None):
            element["Alt"] = pydyf.String(alt.strip())
        attributes = node.attributes or _attributes(node)
        if attributes:
            element["A"] = pydyf.Dictionary(
                {k: pydyf.Array(v) if isinstance(v, list) else v for k, v in attributes.items()}
            )
        if node.element is not None:
            if lang := node.element.get("lang"):
                element["Lang"] = pydyf.String(lang)
            if node.element.tag == "abbr" and (title := node.element.get("title")):
                element["E"] = pydyf.String(title)

    def _drop_annotations(self) -> None:
        """Drop the annotations that no element holds: those of running heads, the inner ones of a link."""
        kept = {annotation.reference for annotation, _ in self._annotations}
        for reference in self._pages:
            page = self._object(reference)
            for annotation in page.get("Annots", ()):
                if annotation not in kept:
                    self._drop(self._object(annotation))
            if annotations := [a for a in page.pop("Annots", ()) if a in kept]:
                page["Annots"] = pydyf.Array(annotations)

    def _new(self) -> Any:
        element = pydyf.Dictionary()
        self._pdf.add_object(element)
        return element

    def _object(self, reference: bytes) -> Any:
        return self._pdf.objects[int(reference.split()[0])]

    def _drop(self, old: Any) -> None:
        null = _Null()
        null.number = old.number
        self._pdf.objects[old.number] = null


def _simplified(node: Node) -> Node:
    """`node` without what says nothing: a division round one paragraph, a dead link, an empty body."""
    if node.type == "Div" and len(node.kids) == 1 and isinstance(kid := node.kids[0], Node) and kid.implicit:
        return Node("P", node.element, kid.kids)
    if node.type == "Link" and not any(isinstance(kid, Link) for kid in node.kids):
        return Node("Span", node.element, node.kids)
    if node.type == "LI" and [kid.type for kid in node.kids if isinstance(kid, Node) and not kid.kids] == [
        "LBody"
    ]:
        label = node.kids[0]
        assert isinstance(label, Node)
        return Node("LI", node.element, [Node("LBody", None, label.kids)])
    return node


def _is_picture_link(node: Node) -> bool:
    """Whether `node` is a link that shows nothing but pictures: their words have to be the link's, too."""
    return node.type == "Link" and all(
        isinstance(kid, Link) or (isinstance(kid, Node) and kid.type == "Figure") for kid in node.kids
    )


def _link_text(node: Node) -> str:
    return " ".join((node.element.get("aria-label") or node.text()).split())


def _attributes(node: Node) -> dict[str, Any]:
    if node.type == "L":  # None says that labels, if there are any, count nothing
        return {"O": "/List", "ListNumbering": "/Decimal" if node.element.tag == "ol" else "/None"}
    return {}
