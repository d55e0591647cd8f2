"""The contact sheet of the pictures that nothing uses."""

from __future__ import annotations

from pathlib import Path

from lugbook.compose.contact import compose_contact
from lugbook.errors import InputRefusedError
from lugbook.load.pictures import PHOTOS
from lugbook.model.view import ContactEntry
from lugbook.pipeline.checking import Checked
from lugbook.pipeline.studio import CONTACT_EDGE
from lugbook.progress import Progress
from lugbook.render.page import contact_page, data_uri
from lugbook.render.pdf import Resource
from lugbook.words.catalogue import Words
from lugbook.write import write_files


def contact_sheet(checked: Checked, out: Path, progress: Progress) -> tuple[Path, ...]:
    """Write contact-sheet.html: the pictures in the folder that nothing uses, with their names and times."""
    if checked.job is None:
        raise InputRefusedError(checked.problems)
    from lugbook.photos import PictureFault, capture_time, prepare

    words = Words(checked.job.language)
    entries: list[ContactEntry] = []
    for path in progress.each(checked.job.unused, len(checked.job.unused), "preparing pictures"):
        name = path.relative_to(checked.job.folder / PHOTOS).as_posix()
        try:
            prepared = prepare(path, long_edge=CONTACT_EDGE)
        except PictureFault as fault:
            entries.append(compose_contact(name, words, fault=fault.message))
            continue
        picture = Resource(prepared.data, prepared.media_type)
        entries.append(compose_contact(name, words, picture=data_uri(picture), taken=capture_time(path)))
    return write_files(out, {"contact-sheet.html": contact_page(entries, words).encode()})
