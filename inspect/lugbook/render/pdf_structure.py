"""The structure tree of a print page: its HTML elements, in the types of PDF 1.7, with what each one painted.

Input: the laid-out boxes of each page and, for each box that painted something, its mark in the page's
content. Output: a tree of Nodes. An element that goes on over several pages or columns is one Node, since
Nodes are kept by HTML element; header rows that are painted again on each page of a table are kept once. What
is no content (running heads, repeated header rows, leaders, `aria-hidden`) is only marked as an artifact.
"""

from typing import Any

from .pdf_nodes import Link, Mark, Node

__all__ = ["StructureBuilder"]

SVG = "{http://www.w3.org/2000/svg}"

# HTML element -> structure type. What is not listed has no type of its own: its content goes to its parent.
TYPES = {
    "main": "Part", "article": "Art", "section": "Sect", "nav": "Sect", "aside": "Sect",
    "div": "Div", "header": "Div", "footer": "Div", "figure": "Div", "address": "Div",
    "blockquote": "BlockQuote", "p": "P", "pre": "P",
    "h1": "H1", "h2": "H2", "h3": "H3", "h4": "H4", "h5": "H5", "h6": "H6",
    "ul": "L", "ol": "L", "dl": "L", "li": "LI", "dt": "Lbl", "dd": "LBody",
    "table": "Table", "thead": "THead", "tbody": "TBody", "tfoot": "TFoot", "tr": "TR", "th": "TH",
    "td": "TD", "caption": "Caption", "figcaption": "Caption", "img": "Figure", SVG + "svg": "Figure",
    "a": "Link", "code": "Code", "kbd": "Code", "samp": "Code", "q": "Quote",
}  # fmt: skip
GROUPING = {"Document", "Part", "Art", "Sect", "Div", "BlockQuote"}
INLINE = {"Link", "Code", "Quote", "Span"}


class StructureBuilder:
    """Collects page after page into `document`; `marks` lists every mark met, by page."""

    def __init__(self, root: Any) -> None:
        self.document = Node("Document")
        self.marks: list[list[Mark]] = []
        self.faults: list[str] = []
        self._parents = {child: parent for parent in root.iter() for child in parent}
        self._hidden = {
            inner for outer in root.iter() if outer.get("aria-hidden") == "true" for inner in outer.iter()
        }
        self._nodes: dict[Any, Node] = {root: self.document}
        self._labels: dict[Any, Node] = {}
        self._row_groups: set[Any] = set()

    def add_page(self, page_box: Any, numbers: dict[Any, int], height: float) -> None:
        """Add one page. `numbers` gives the mark that each box painted; `height` is in CSS px."""
        self._page = len(self.marks)
        self._numbers = numbers
        self._height = height
        self.marks.append([])
        self._walk(page_box, None, in_link=False)

    def _walk(self, box: Any, artifact: str | None, *, in_link: bool) -> None:
        box = getattr(box, "_box", box)  # an absolutely placed box stands behind a placeholder
        artifact = artifact or self._artifact(box)
        if box in self._numbers:
            self._place(box, artifact)
        elif artifact is None and box.element_tag in ("tr", "td", "th"):
            self._node(box.element)  # an empty cell is a cell, too
        if box.link_annotation is not None and artifact is None and not in_link:
            # Boxes inside a link have annotations of their own over the same place: the outermost is enough.
            in_link = True
            self._node(self._link_of(box.element)).kids.append(Link(self._page, box.link_annotation))
        for child in box.children:
            self._walk(child, artifact, in_link=in_link)

    def _artifact(self, box: Any) -> str | None:
        kind = type(box).__name__
        if kind == "MarginBox":
            return "Pagination"
        if box.is_leader or box.element in self._hidden:
            return "Layout"
        if kind == "TableRowGroupBox" and box.element_tag in ("thead", "tfoot"):
            if box.element in self._row_groups:
                return "Pagination"
            self._row_groups.add(box.element)
        return None

    def _place(self, box: Any, artifact: str | None) -> None:
        mark = Mark(self._page, self._numbers[box], getattr(box, "text", ""), artifact)
        self.marks[-1].append(mark)
        if artifact is not None:
            return
        if TYPES.get(box.element_tag) == "Figure":
            parent = self._node(self._parents[box.element])
            holder = parent if type(box).__name__ == "BlockReplacedBox" else self._inline(parent)
            holder.kids.append(self._figure(box, mark))
        elif type(box).__name__.endswith("ReplacedBox"):
            self.faults.append(f"a picture in generated content cannot be described: {box.element_tag}")
        elif box.element_tag in ("li::marker", "li::before"):
            self._label(box.element).kids.append(mark)
        else:
            self._inline(self._node(box.element)).kids.append(mark)

    def _figure(self, box: Any, mark: Mark) -> Node:
        x, y = box.content_box_x(), self._height - box.content_box_y()
        bounds = [
            0.75 * edge for edge in (x, y - box.height, x + box.width, y)
        ]  # CSS px, y down -> points, y up
        element = box.element
        title = element.find(SVG + "title") if element.tag != "img" else None
        alt = element.get("alt") if element.tag == "img" else (title.text if title is not None else None)
        if not (alt or "").strip():
            self.faults.append(f"a picture has no alternative text: {element.get('src') or 'inline svg'}")
        return Node("Figure", element, [mark], {"O": "/Layout", "BBox": bounds}, alt)

    def _link_of(self, element: Any) -> Any:
        while element.tag != "a":
            element = self._parents[element]
        return element

    def _inline(self, node: Node) -> Node:
        """Where text or an inline element of `node` goes: a paragraph, if `node` only groups."""
        wrapper = "P" if node.type in GROUPING else "Reference" if node.type == "TOCI" else None
        if wrapper is None:
            return node
        last = node.kids[-1] if node.kids else None
        if isinstance(last, Node) and last.implicit:
            return last
        return node.add(wrapper, implicit=True)

    def _node(self, element: Any) -> Node:
        """The Node that holds the content of `element`; made, with its parents, when first asked for."""
        if (known := self._nodes.get(element)) is None:
            known = self._nodes[element] = self._make(element)
        return known

    def _make(self, element: Any) -> Node:
        parent = self._node(self._parents[element])
        type_ = self._type(element, parent)
        if type_ is None:
            return parent
        if type_ in INLINE:
            return self._inline(parent).add(type_, element)
        if type_ == "LI":
            return (
                parent.add("LI", element).add("LBody") if element.tag == "li" else parent.add("LI", element)
            )
        if type_ in ("Lbl", "LBody"):
            return self._definition(element, type_, parent)
        node = parent.add(type_, element, first=type_ == "Caption" and parent.type == "Table")
        if type_ in ("TH", "TD"):
            node.attributes = self._cell_attributes(element)
        return node

    def _cell_attributes(self, element: Any) -> dict[str, Any]:
        attributes: dict[str, Any] = {}
        if element.tag == "th":
            in_head = self._parents[self._parents[element]].tag == "thead"
            scope = element.get("scope") or ("col" if in_head else "row")
            attributes["Scope"] = "/Column" if scope == "col" else "/Row"
        for key, name in (("ColSpan", "colspan"), ("RowSpan", "rowspan")):
            if (span := int(element.get(name) or 1)) > 1:
                attributes[key] = span
        return {"O": "/Table"} | attributes if attributes else {}

    def _type(self, element: Any, parent: Node) -> str | None:
        tag = element.tag
        if tag in ("ul", "ol") and (parent.type == "TOCI" or self._is_contents(element)):
            return "TOC"
        if tag == "li" and parent.type == "TOC":
            return "TOCI"
        if tag == "div" and parent.type == "L":
            return "LI"  # a pair of dt and dd may stand in a div
        if tag in TYPES:
            return TYPES[tag]
        return "Span" if element.get("lang") or (tag == "abbr" and element.get("title")) else None

    def _is_contents(self, element: Any) -> bool:
        return bool(self._parents[element].get("role") == "doc-toc")

    def _definition(self, element: Any, type_: str, parent: Node) -> Node:
        item = parent if parent.type == "LI" else parent.kids[-1] if parent.kids else None
        if not isinstance(item, Node) or (item is not parent and type_ == "Lbl" and item.has_body):
            item = parent.add("LI")
        if type_ == "Lbl":
            return item.add("Lbl", element)
        if item.has_body:  # one term, several meanings: they share one body
            body = item.kids[-1]
            assert isinstance(body, Node)
            return body.add("Div", element)
        item.has_body = True
        return item.add("LBody").add("Div", element)

    def _label(self, element: Any) -> Node:
        """The Node for the number or bullet of a list item."""
        if element not in self._labels:
            self._node(element)
            item = self._item_of(element)
            self._labels[element] = item.add("Lbl", first=True)
        return self._labels[element]

    def _item_of(self, element: Any) -> Node:
        node = self._nodes[element]
        if node.type != "LBody":
            return node  # an entry of a table of contents
        parent = self._node(self._parents[element])
        return next(k for k in reversed(parent.kids) if isinstance(k, Node) and k.element is element)
