"""WeasyPrint, cut off from the network, the disk and the fonts of the machine.

Imported by `render.pdf` alone, and only when a PDF is written: importing WeasyPrint needs Pango.
"""

import gc
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any
from urllib.parse import quote, unquote

from .pdf import Attached, PdfError, Resource, collected_complaints
from .tagging import Tagger

with warnings.catch_warnings():
    # A machine without any font makes WeasyPrint warn; its fonts are never used. The other warning is about a
    # missing subsetter, which `has_subsetter` reports.
    warnings.filterwarnings("ignore", message=".*Expect ugly output")
    warnings.filterwarnings("ignore", message="HarfBuzz-Subset will be required")
    import weasyprint
    from weasyprint.text.ffi import ffi, fontconfig, gobject, harfbuzz_subset, pangoft2
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

__all__ = ["JobFetcher", "convert", "has_subsetter"]

SCHEME = "job:///"
CONTENTS = "contents"  # the anchor of what follows the owner's page
# How complaints begin that mean a hole in the page or a wrong font: no PDF comes of them.
FATAL = ("Failed to", "Font-face")

ffi.cdef("FcConfig *FcConfigCreate(void);")  # the one call that BundledFonts needs and WeasyPrint does not


def has_subsetter() -> bool:
    """Whether HarfBuzz can cut fonts down. WeasyPrint's other way gives other bytes, so it is not used."""
    return harfbuzz_subset is not None


class JobFetcher(URLFetcher):  # type: ignore[misc]
    """Answers `job:///NAME` from memory and refuses every other URL, `data:` included."""

    def __init__(self, resources: Mapping[str, Resource]) -> None:
        # fail_on_errors: a refusal stops the rendering instead of leaving a hole in the page.
        super().__init__(allowed_protocols=("job",), allow_redirects=False, fail_on_errors=True)
        self._resources = dict(resources)
        self.refused: list[str] = []

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:  # noqa: ARG002
        resource = self._resources.get(unquote(url.removeprefix(SCHEME))) if url.startswith(SCHEME) else None
        if resource is None:
            self.refused.append(url[:80])  # kept: inside an SVG, WeasyPrint swallows the exception
            raise PdfError(f"refused to fetch {url[:80]}")
        return URLFetcherResponse(url, resource.data, {"Content-Type": resource.media_type})


class BundledFonts(FontConfiguration):  # type: ignore[misc]
    """A font configuration that starts empty: only the page's own `@font-face` rules add to it.

    The inherited one begins with every font of the machine, and with the machine's substitution rules; both
    would change the bytes from one machine to the next.
    """

    def __init__(self) -> None:
        # As in the inherited method, but for the first line.
        self._config = fontconfig.FcConfigCreate()
        self.font_map = ffi.gc(pangoft2.pango_ft2_font_map_new(), gobject.g_object_unref)
        pangoft2.pango_fc_font_map_set_config(ffi.cast("PangoFcFontMap *", self.font_map), self._config)
        fontconfig.FcConfigDestroy(self._config)
        self._folder = None
        self.strut_layouts: dict[Any, Any] = {}
        self.font_features: dict[Any, Any] = {}


def convert(
    settings: Sequence[Callable[[], str]],
    resources: Mapping[str, Resource],
    attachments: Sequence[Attached],
    created: datetime,
) -> bytes:
    """The PDF of a document; `created` is in UTC. See `render.pdf.write_pdf`."""
    with warnings.catch_warnings(), _no_collection():
        # WeasyPrint leaves its colour profile open, to be closed by the interpreter.
        warnings.filterwarnings("ignore", message="unclosed file .*sRGB2014.icc", category=ResourceWarning)
        fetcher = JobFetcher(resources)
        with collected_complaints() as complaints:
            try:
                pdf = _convert(settings, fetcher, attachments, created)
            except FatalURLFetchingError as error:
                raise PdfError(str(error.__cause__ or error)) from error
    faults = [f"refused to fetch {url}" for url in fetcher.refused]
    faults += [text for text in complaints if text.startswith(FATAL)]
    if faults:
        raise PdfError("; ".join(faults))
    return pdf


@contextmanager
def _no_collection() -> Iterator[None]:
    """Stop the search for cyclic garbage: boxes live to the end, so looking at them again and again finds nothing.

    Measured on 63 pages: a tenth less time, no more memory.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _convert(
    settings: Sequence[Callable[[], str]],
    fetcher: JobFetcher,
    attachments: Sequence[Attached],
    created: datetime,
) -> bytes:
    tagger = Tagger()
    for setting in settings:
        page = weasyprint.HTML(string=setting(), base_url=SCHEME, url_fetcher=fetcher)
        document = page.render(font_config=BundledFonts(), pdf_variant="pdf/a-3a")
        if first_is_one_page(document):
            break
    document.metadata.created = document.metadata.modified = created.strftime("%Y-%m-%dT%H:%M:%SZ")
    tagger.watch(document, page.etree_element)
    pdf: bytes = document.write_pdf(
        pdf_variant="pdf/a-3a",
        # A name tree is sorted, so the files are.
        attachments=[_attachment(a, created) for a in sorted(attachments, key=lambda a: a.name)],
        finisher=tagger.finish,
    )
    return pdf


def first_is_one_page(document: Any) -> bool:
    """Whether the owner's page is one page: the contents follow on the second, or there is only one."""
    return len(document.pages) == 1 or CONTENTS in document.pages[1].anchors


def _attachment(attached: Attached, created: datetime) -> Any:
    url = SCHEME + quote(attached.name)
    # A fetcher of its own gives the file its media type; WeasyPrint would guess it from the name.
    fetcher = JobFetcher({attached.name: Resource(attached.data, attached.media_type)})
    return weasyprint.Attachment(
        url=url,
        url_fetcher=fetcher,
        name=attached.name,
        description=attached.description,
        created=created,
        modified=created,
        relationship="Data",
    )
