"""View -> HTML: the screen page, one file that needs nothing else, and the print page for the PDF."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Literal

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markdown_it import MarkdownIt
from markdown_it.rules_core import StateCore
from markdown_it.token import Token
from markupsafe import Markup, escape

from lugbook.data import data_file, data_folder
from lugbook.model.view import ContactEntry, ReportView
from lugbook.render.chart import chart_key_svg, chart_svg
from lugbook.render.compiled import Compiled, beside_modules
from lugbook.render.diagram import diagram_svg, key_svg
from lugbook.render.pdf import Resource
from lugbook.words.catalogue import Words
from lugbook.words.numbers import bound

Paper = Literal["a4", "letter"]
FACES = (
    ("Lugbook Text", "400", "normal", "text-regular"),
    ("Lugbook Text", "400", "italic", "text-italic"),
    ("Lugbook Text", "700", "normal", "text-bold"),
    ("Lugbook Text", "700", "italic", "text-bolditalic"),
    ("Lugbook Label", "400", "normal", "label-regular"),
    ("Lugbook Label", "600", "normal", "label-semibold"),
    ("Lugbook Label", "700", "normal", "label-bold"),
)
# Anchor -> key of the heading, in the order of the report. Both pages follow it.
SECTIONS = (
    ("first", "title.first"),
    ("changes", "title.changes"),
    ("plan", "title.plan"),
    ("cautions", "title.cautions"),
    ("defects", "title.defects"),
    ("diagram", "diagram.title"),
    ("diagnosis", "diagnosis.title"),
    ("remedy", "remedy.title"),
    ("readings", "title.readings"),
    ("looked", "title.looked"),
    ("unseen", "title.not_inspected"),
    ("visit", "title.visit"),
    ("calculations", "evidence.title"),
    ("method", "title.method"),
    ("signature", "title.signature"),
    ("trail", "title.trail"),
)
# Sections that stand in the report only if the view has something for them.
OPTIONAL = ("changes", "diagram", "diagnosis", "calculations", "remedy")
ADDRESS = re.compile(r"[A-Za-z0-9._+-]+@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+")
Source = Callable[[str], str]


def markdown() -> MarkdownIt:
    """Markdown of people: emphasis, lists and links. No HTML, pictures or headings: text cannot pose as the report."""
    parser = MarkdownIt("commonmark", {"html": False, "typographer": True}).enable(["smartquotes"])
    parser.disable(["heading", "lheading", "html_block", "html_inline", "autolink", "hr", "reference"])
    parser.validateLink = lambda url: url.startswith(("https://", "http://", "mailto:"))  # type: ignore[method-assign]
    parser.core.ruler.push("nothing_hidden", _nothing_hidden)
    return parser


def _nothing_hidden(state: StateCore) -> None:
    """A picture becomes its words and its address, a link without words shows its address: no link is invisible."""
    for block in state.tokens:
        shown: list[Token] = []
        words = ""
        for token in block.children or []:
            if token.type == "image":
                content = " ".join(filter(None, (token.content, str(token.attrGet("src")))))
                token = Token("text", "", 0, content=f"({content})")
            elif token.type == "link_open":
                address, words = str(token.attrGet("href")), ""
            elif token.type == "link_close" and not any(sign.isprintable() for sign in words if sign != " "):
                shown.append(Token("text", "", 0, content=address))
            words += token.content
            shown.append(token)
        if block.children is not None:
            block.children = shown


@cache
def environment() -> Environment:
    """Where templates come from, with their filters."""
    environment = Environment(
        loader=FileSystemLoader(data_folder("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.bytecode_cache = Compiled(beside_modules(), environment)
    parser = markdown()

    @pass_context
    def md(_: Context, text: str) -> Markup:
        return Markup(parser.render(bound(text)))

    environment.filters["mailto"] = mailto
    environment.filters["md"] = md
    return environment


# A filter that takes the context is asked when a page is made, so that no compiled template holds its answer.
@pass_context
def mailto(_: Context, text: str) -> Markup:
    """Plain text with its mail addresses as links."""
    return Markup(ADDRESS.sub(r'<a href="mailto:\g<0>">\g<0></a>', str(escape(bound(text)))))


def screen_page(view: ReportView, words: Words, resources: Mapping[str, Resource]) -> str:
    """The report as one HTML file: styles, fonts and pictures inside, no script, no network."""
    css = _css("screen", view, lambda name: data_uri(font(name)))
    return _render(
        "screen.html.j2", view, words, css, lambda key: data_uri(resources[key]), style_hash=_style_hash(css)
    )


def _style_hash(css: str) -> str:
    """The source expression that lets this style sheet, and no other, apply."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(css.encode()).digest()).decode()}'"


def contact_page(entries: Sequence[ContactEntry], words: Words) -> str:
    """The contact sheet as one HTML file."""
    css = _faces(lambda name: data_uri(font(name))) + _sheet("report") + _sheet("screen") + _sheet("contact")
    page = environment().get_template("contact.html.j2")
    return page.render(entries=entries, w=words, css=Markup(css), style_hash=_style_hash(css)) + "\n"


def sheet_page(name: str, words: Words, **values: object) -> str:
    """A small page of its own in the report's dress: templates/NAME.html.j2 with templates/NAME.css."""
    css = _faces(lambda name: data_uri(font(name))) + _sheet("report") + _sheet("screen") + _sheet(name)
    page = environment().get_template(f"{name}.html.j2")
    return page.render(w=words, css=Markup(css), style_hash=_style_hash(css), **values) + "\n"


def print_page(
    view: ReportView, words: Words, paper: Paper, fit: int = 0, *, only_first: bool = False
) -> str:
    """The page that becomes the PDF, its first page set as closely as `fit` says, or only that first page.

    Pictures and fonts are named `job:///...`.
    """
    css = page_rules(view, words, paper) + _css("print", view, lambda name: f"job:///{name}")
    only = {"fit": fit, "only_first": only_first}
    return _render("print.html.j2", view, words, css, lambda key: f"job:///{key}", style_hash="", **only)


def _render(
    template: str, view: ReportView, words: Words, css: str, source: Source, *, style_hash: str, **more: int
) -> str:
    absent = {name for name in OPTIONAL if getattr(view, name) is None}
    sections = [(anchor, words(key)) for anchor, key in SECTIONS if anchor not in absent]
    page = environment().get_template(template)
    return (
        page.render(
            view=view,
            w=words,
            css=Markup(css),
            source=source,
            svg=diagram_svg,
            sample=key_svg,
            chart_svg=chart_svg,
            chart_key=chart_key_svg,
            sections=sections,
            style_hash=style_hash,
            **more,
        )
        + "\n"
    )


def font(name: str) -> Resource:
    """A bundled font."""
    return Resource(data_file("templates", f"fonts/{name}").read_bytes(), "font/woff2")


def fonts() -> dict[str, Resource]:
    """All bundled fonts by the names that the print page uses, unpacked: that saves half a second a PDF."""
    files = (f"{file}.ttf" for *_, file in FACES)
    return {
        file: Resource(data_file("templates", f"fonts/{file}").read_bytes(), "font/ttf") for file in files
    }


def data_uri(resource: Resource) -> str:
    """The resource as a data: address."""
    return f"data:{resource.media_type};base64,{base64.b64encode(resource.data).decode()}"


def _css(medium: Literal["screen", "print"], view: ReportView, address: Source) -> str:
    """Faces, shared rules, the medium's rules, and each picture's share of its row."""
    shares = "".join(f".row .pic-{p.number}{{width:{p.width}}}\n" for p in view.pictures)
    faces = _faces(address, "ttf" if medium == "print" else "woff2")
    return faces + _sheet("report") + _sheet("diagram") + _sheet("chart") + _sheet(medium) + shares


def _sheet(name: str) -> str:
    return data_file("templates", f"{name}.css").read_text(encoding="utf-8")


def _faces(address: Source, packing: Literal["woff2", "ttf"] = "woff2") -> str:
    kind = "truetype" if packing == "ttf" else packing
    return "".join(
        f'@font-face{{font-family:"{family}";font-weight:{weight};font-style:{style};'
        f'src:url("{address(f"{file}.{packing}")}") format("{kind}")}}\n'
        for family, weight, style, file in FACES
    )


def page_rules(view: ReportView, words: Words, paper: Paper) -> str:
    """Paper size, running head and page numbers."""
    running = css_text(words("footer.running", boat=view.boat, number=view.number))
    page = words("footer.page", page="\0", pages="\1")
    numbered = css_text(page).replace("\0", '" counter(page) "').replace("\1", '" counter(pages) "')
    draft = css_text(words("draft")) if view.draft else '""'
    size = "A4" if paper == "a4" else "letter"
    return (
        f"@page{{size:{size};@top-left{{content:{running}}}@top-right{{content:{draft}}}"
        f"@bottom-right{{content:{numbered}}}}}\n"
    )


def css_text(text: str) -> str:
    """A CSS string; everything that could end it is escaped."""
    safe = "".join(c if c.isalnum() or c in " .,:;-–·/()\0\1" else f"\\{ord(c):06x}" for c in text)
    return f'"{safe}"'
