"""A comparison of two jobs by itself: for the screen and for the PDF, in the look of the report."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from markupsafe import Markup

from lugbook.model.view import ComparisonView
from lugbook.render.page import Paper, _faces, _sheet, _style_hash, css_text, data_uri, environment, font
from lugbook.render.pdf import Resource
from lugbook.words.catalogue import Words


def comparison_screen(view: ComparisonView, words: Words, resources: Mapping[str, Resource]) -> str:
    """One HTML file that needs nothing else."""
    css = _faces(lambda name: data_uri(font(name))) + _sheet("report") + _sheet("screen")
    return _page(view, words, css, lambda key: data_uri(resources[key]), _style_hash(css))


def comparison_print(view: ComparisonView, words: Words, paper: Paper) -> str:
    """The page that becomes the PDF."""
    page = words("footer.page", page="\0", pages="\1")
    numbered = css_text(page).replace("\0", '" counter(page) "').replace("\1", '" counter(pages) "')
    size = "A4" if paper == "a4" else "letter"
    running = css_text(f"{view.boat} · {view.title}")
    rules = f"@page{{size:{size};@top-left{{content:{running}}}@bottom-right{{content:{numbered}}}}}\n"
    css = rules + _faces(lambda name: f"job:///{name}", "ttf") + _sheet("report") + _sheet("print")
    return _page(view, words, css, lambda key: f"job:///{key}", "")


def _page(view: ComparisonView, words: Words, css: str, source: Callable[[str], str], style_hash: str) -> str:
    page = environment().get_template("compare.html.j2")
    return page.render(view=view, w=words, css=Markup(css), style_hash=style_hash, source=source) + "\n"
