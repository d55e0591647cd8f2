"""The capture page: styles, fonts, data and script in one HTML file, and the service worker beside it."""

from __future__ import annotations

import base64
import hashlib
import json
import re

from markupsafe import Markup

from lugbook.data import data_file
from lugbook.model.capture import CaptureView
from lugbook.render.page import data_uri, environment, font
from lugbook.words.catalogue import Words

PAGE, WORKER = "index.html", "sw.js"
LIBRARY = "vendor/fflate-0.8.2.js"
LIBRARY_LICENCE = "vendor/LICENSE-fflate.txt"
# In the order in which they are read: each uses those before it, and those after it only once all are there.
MODULES = (
    "base", "store", "doc", "sha256", "zip", "yaml", "view", "plan", "fields", "photos", "forms", "defect", "walk",
    "readings", "boat", "handover", "notice", "missing", "export", "jobs", "main",
)  # fmt: skip
FACES = (("400", "label-regular"), ("700", "label-bold"))
NAMED = re.compile(r'^import \{([^}]*)\} from "\./(\w+)\.js";$', re.MULTILINE)
WHOLE = re.compile(r'^import \* as (\w+) from "\./(\w+)\.js";$', re.MULTILINE)
EXPORT = re.compile(r"^export (const|let|function|async function) (\w+)", re.MULTILINE)


def capture_files(view: CaptureView, words: Words) -> dict[str, bytes]:
    """Name of file -> bytes."""
    page = _page(view, words).encode()
    worker = _text("sw.js").replace("@@SUM@@", hashlib.sha256(page).hexdigest()[:16])
    return {PAGE: page, WORKER: worker.encode()}


def library_licences() -> str:
    """What must be shown with the library and the fonts that the page holds."""
    fonts = data_file("templates", "fonts/OFL-commissioner.txt").read_text(encoding="utf-8")
    return f"fflate 0.8.2\n{_text(LIBRARY_LICENCE)}\n\n{fonts}"


def _page(view: CaptureView, words: Words) -> str:
    css, script, library = _css(), bundle(), _text(LIBRARY)
    data = json.dumps(view.data, ensure_ascii=False, separators=(",", ":"))
    page = environment().get_template("capture/capture.html.j2")
    return (
        page.render(
            view=view,
            w=words,
            css=Markup(css),
            script=Markup(script),
            library=Markup(library),
            data=Markup(data.replace("<", "\\u003c")),  # nothing in it can end the element that it stands in
            hashes={"script": Markup(f"{_sum(library)} {_sum(script)}"), "style": Markup(_sum(css))},
        )
        + "\n"
    )


def bundle() -> str:
    """All modules as one: each becomes a function that returns what it exports. An inline script cannot import others."""
    return "const modules = {};\n" + "".join(_module(name) for name in MODULES)


def _module(name: str) -> str:
    text = _text(f"{name}.js")
    exported = ", ".join(found[1] for found in EXPORT.findall(text))
    text = NAMED.sub(lambda m: f"const {{{m[1].replace(' as ', ': ')}}} = modules.{m[2]};", text)
    text = WHOLE.sub(r"const \1 = modules.\2;", text)
    text = EXPORT.sub(r"\1 \2", text)
    return f"modules.{name} = (() => {{\n{text}return {{ {exported} }};\n}})();\n"


def _css() -> str:
    faces = "".join(
        f'@font-face{{font-family:"Lugbook Label";font-weight:{weight};font-display:swap;'
        f'src:url("{data_uri(font(file + ".woff2"))}") format("woff2")}}\n'
        for weight, file in FACES
    )
    return faces + _text("capture.css")


def _text(name: str) -> str:
    return data_file("templates", f"capture/{name}").read_text(encoding="utf-8")


def _sum(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
