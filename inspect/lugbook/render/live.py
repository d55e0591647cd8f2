"""The frame in which a report is shown while it is being written."""

from __future__ import annotations

import base64
import hashlib

from markupsafe import Markup

from lugbook.data import data_file
from lugbook.render.page import environment
from lugbook.words.catalogue import Words


def live_frame(title: str, words: Words) -> tuple[str, str]:
    """The frame as HTML, and the policy that lets its own style and script apply and nothing else."""
    css = data_file("templates", "watch.css").read_text(encoding="utf-8")
    script = data_file("templates", "watch.js").read_text(encoding="utf-8")
    page = environment().get_template("watch.html.j2")
    html = page.render(title=title, w=words, css=Markup(css), script=Markup(script))
    policy = (
        f"default-src 'none'; style-src {_hash(css)}; script-src {_hash(script)}; connect-src 'self'; "
        "frame-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
    )
    return html + "\n", policy


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
