"""The notice of immediate danger: one page, for the screen and for the PDF."""

from __future__ import annotations

from markupsafe import Markup

from lugbook.model.notice import NoticeView
from lugbook.render.page import Paper, _faces, _sheet, _style_hash, data_uri, environment, font
from lugbook.words.catalogue import Words


def notice_screen(view: NoticeView, words: Words) -> str:
    """One HTML file that needs nothing else."""
    css = _faces(lambda name: data_uri(font(name))) + _sheet("report") + _sheet("screen") + _sheet("notice")
    return _page(view, words, css, _style_hash(css))


def notice_print(view: NoticeView, words: Words, paper: Paper) -> str:
    """The page that becomes the PDF."""
    size = "A4" if paper == "a4" else "letter"
    rules = f"@page{{size:{size}}}\n"
    css = (
        rules
        + _faces(lambda name: f"job:///{name}", "ttf")
        + _sheet("report")
        + _sheet("print")
        + _sheet("notice")
    )
    return _page(view, words, css, "")


def _page(view: NoticeView, words: Words, css: str, style_hash: str) -> str:
    page = environment().get_template("notice.html.j2")
    return page.render(view=view, w=words, css=Markup(css), style_hash=style_hash, source=str) + "\n"
