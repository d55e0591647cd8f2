"""A print page, held in memory, written as an archival and accessible PDF.

The page reaches its pictures, fonts and style sheets by `job:///NAME` alone; nothing else can be fetched,
so neither the network nor the disk can leak into a report. WeasyPrint needs Pango, which a bare machine may
lack: it is imported only when a PDF is written, so that every other output works without it.
"""

import logging
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from types import ModuleType

__all__ = [
    "ALLOWED_COMPLAINTS",
    "Attached",
    "PdfError",
    "PdfUnavailable",
    "Resource",
    "collected_complaints",
    "get_ready",
    "no_complaints",
    "write_pdf",
]

# Log records of WeasyPrint that say nothing against a page: (pattern, why it is harmless). None so far.
ALLOWED_COMPLAINTS: tuple[tuple[str, str], ...] = ()


class PdfUnavailable(Exception):  # noqa: N818 - the name says what a caller has to tell the user
    """The libraries that lay out a PDF cannot be loaded on this machine."""


class PdfError(Exception):
    """The page breaks a rule of `render.tagging`, or asks for something that it was not given."""


@dataclass(frozen=True)
class Resource:
    """One picture, font or style sheet that the page may use as `job:///NAME`."""

    data: bytes
    media_type: str


@dataclass(frozen=True)
class Attached:
    """One file to embed in the PDF, byte for byte."""

    name: str
    description: str
    data: bytes
    media_type: str


def write_pdf(
    html: str,
    *,
    resources: Mapping[str, Resource],
    attachments: Sequence[Attached] = (),
    created: datetime,
    closer: Sequence[Callable[[], str]] = (),
) -> bytes:
    """Lay out a document and return the PDF, declared PDF/A-3a and PDF/UA-1.

    Parameters
    ----------
    html : a whole document with `lang` and `<title>`, obeying the rules in `render.tagging`
    resources : what `job:///NAME` stands for, by NAME
    attachments : files to embed; their names must differ
    created : written as the date of creation and of change; needs a time zone
    closer : the same document, set closer and closer: taken in turn until the owner's page is one page

    Returns
    -------
    The bytes of the file: the same for the same arguments, whatever the folder, time zone or hash seed.

    Raises
    ------
    PdfUnavailable : Pango or HarfBuzz is not installed
    PdfError : a URL other than those in `resources`, a picture or font that cannot be used, or a page that
        cannot be tagged
    ValueError : `created` has no time zone, or two attachments share a name
    """
    if created.tzinfo is None:
        raise ValueError("created needs a time zone")
    names = [attached.name for attached in attachments]
    if len(set(names)) < len(names):
        raise ValueError("two attachments have the same name")
    pdf: bytes = _engine().convert((lambda: html, *closer), resources, attachments, created.astimezone(UTC))
    return pdf


def get_ready() -> None:
    """Load what writes a PDF. That it cannot be loaded is told by `write_pdf`."""
    with suppress(PdfUnavailable):
        _engine()


def _engine() -> ModuleType:
    try:
        from . import pdf_engine
    except OSError as error:
        raise PdfUnavailable(_INSTALL) from error
    if not pdf_engine.has_subsetter():
        raise PdfUnavailable(_INSTALL)
    return pdf_engine


_INSTALL = (
    "A PDF needs the libraries Pango and HarfBuzz; on Debian they come with "
    "`apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0`."
)


class _Collector(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.complaints: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.complaints.append(record.getMessage())


@contextmanager
def collected_complaints() -> Iterator[list[str]]:
    """Collect what WeasyPrint logs at WARNING or above while the block runs."""
    logger = logging.getLogger("weasyprint")
    collector = _Collector()
    logger.addHandler(collector)
    try:
        yield collector.complaints
    finally:
        logger.removeHandler(collector)


@contextmanager
def no_complaints() -> Iterator[None]:
    """Raise PdfError at the end of the block if WeasyPrint complained, the allowed complaints apart."""
    with collected_complaints() as complaints:
        yield
    allowed = [re.compile(pattern) for pattern, _ in ALLOWED_COMPLAINTS]
    left = [text for text in complaints if not any(pattern.search(text) for pattern in allowed)]
    if left:
        raise PdfError("; ".join(left))
