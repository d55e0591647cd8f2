"""A copy for third parties: names, contacts, identifiers and places are taken out of the findings and of every text.

Fields that hold them are replaced by 'withheld'. Wherever else the same texts stand, in prose, captions or marks, '[…]'
stands for them. What nobody could know to be a name stays: whoever hands the copy out reads it first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from lugbook.model.findings import Findings, Person, Photo
from lugbook.model.job import Business
from lugbook.words.catalogue import Words

GAP = "[…]"
NAMES = re.compile(r"[^\W\d_a-z][\w'’-]+(?:\s+[^\W\d_a-z][\w'’-]+)+")
MAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
PHONE = re.compile(r"(?<![\w.])(?:\+|00?)[0-9](?:[ ()/-]?[0-9]){6,14}(?![\w.])")


def withheld_findings(findings: Findings, files: Mapping[int, str], words: Words) -> Findings:
    """The findings without what belongs to persons, places and the boat's identity.

    `files` gives the new name of each picture by its place in the order of the file; those without one are left out.
    """
    held = words("redacted.withheld")
    report = findings.report

    def hide(value: str | None) -> str | None:
        return held if value else None

    def person(who: Person) -> dict[str, Any]:
        return {"name": hide(who.name), "address": None, "contact": None}

    who = report.electrician
    head = report.model_copy(
        update={
            "number": held,
            "client": report.client.model_copy(update=person(report.client)),
            "owner": report.owner.model_copy(update=person(report.owner)),
            "permission": hide(report.permission),
            "reliance": hide(report.reliance),
            "electrician": who.model_copy(
                update={**person(who), "business": hide(who.business), "insurance": hide(who.insurance)}
            ),
            "craft": report.craft.model_copy(
                update={
                    "name": hide(report.craft.name), "identification": hide(report.craft.identification),
                    "builder": hide(report.craft.builder), "photo": None,
                }
            ),
            "visit": report.visit.model_copy(
                update={"place": hide(report.visit.place), "present": (held,) if report.visit.present else ()}
            ),
            "instruments": tuple(
                one.model_copy(update={"serial": hide(one.serial)}) for one in report.instruments
            ),
            "distribution": (held,) if report.distribution else (),
            "signature": report.signature.model_copy(
                update={
                    "name": hide(report.signature.name),
                    "place": hide(report.signature.place),
                    "image": None,
                }
            ),
            "terms": None,
        }
    )  # fmt: skip
    count = iter(range(1_000_000))
    if report.craft.photo is not None:
        next(count)  # the picture of the boat is left out, and keeps its place in the count

    def photos(old: Iterable[Photo]) -> tuple[Photo, ...]:
        named = [(files.get(next(count)), photo) for photo in old]
        return tuple(
            photo.model_copy(update={"file": name, "cover": ()}) for name, photo in named if name is not None
        )

    def defect(old: Any) -> Any:
        update: dict[str, Any] = {"photos": photos(old.photos)}
        if old.carried is not None:
            update["carried"] = old.carried.model_copy(
                update={"report": held, "photos": photos(old.carried.photos)}
            )
        return old.model_copy(update=update)

    results = tuple(
        result.model_copy(
            update={"photos": photos(result.photos), "defects": tuple(defect(one) for one in result.defects)}
        )
        for result in findings.results
    )
    extra = tuple(defect(one) for one in findings.extra)
    shore = tuple(one.model_copy(update={"qualified": hide(one.qualified)}) for one in findings.shore)
    remedy = tuple(one.model_copy(update={"accepted_by": hide(one.accepted_by)}) for one in findings.remedy)
    return findings.model_copy(
        update={
            "report": head,
            "results": results,
            "extra": extra,
            "shore": shore,
            "remedy": remedy,
            "rates": None,
        }
    )


class Scrubber:
    """Takes texts out of texts. `whole` are taken out as they are, of `names` each word that begins with a capital too."""

    def __init__(self, whole: Iterable[str], names: Iterable[str]) -> None:
        names = list(names)
        found = {" ".join(text.split()) for text in (*whole, *names)}
        found |= {word.strip(".,()") for name in names for word in name.split() if word[:1].isupper()}
        self.texts = tuple(sorted((text for text in found if len(text) >= 3), key=len, reverse=True))
        loose = [text for text in self.texts if not text.isalpha()]
        exact = [form for text in self.texts if text.isalpha() for form in {text, text.upper()}]
        self._patterns = [MAIL, PHONE]
        if loose:
            self._patterns.insert(0, re.compile(_any(loose), re.IGNORECASE))
        if exact:
            self._patterns.append(re.compile(_any(exact)))

    def text(self, text: str) -> str:
        """The text without them."""
        for pattern in self._patterns:
            text = pattern.sub(GAP, text)
        return text

    def data(self, value: Any, kept: frozenset[str] = frozenset()) -> Any:
        """JSON data without them; what stands under the keys `kept` is left alone, and keys always are."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, list | tuple):
            return [self.data(one, kept) for one in value]
        if isinstance(value, dict):
            return {key: one if key in kept else self.data(one, kept) for key, one in value.items()}
        return value


def _any(texts: Iterable[str]) -> str:
    spelled = (r"\s+".join(re.escape(word) for word in text.split()) for text in texts)
    return rf"(?<!\w)(?:{'|'.join(spelled)})(?!\w)"


def scrubber(findings: Findings, business: Business, people: Iterable[str], more: Iterable[str]) -> Scrubber:
    """What to take out: everything that the withheld fields hold, names kept in the trail, and `more` texts."""
    report = findings.report
    named = [report.client.name, report.owner.name, report.electrician.name, report.signature.name, *people]
    named += [one.accepted_by for one in findings.remedy]
    found: list[str] = []
    for text in (report.permission, report.reliance, *report.visit.present, *report.distribution):
        found += NAMES.findall(text or "")
    # Two words are a person, most often; of more than two, such as a firm's name, the single words are common ones.
    named += [text for text in found if len(text.split()) == 2]
    whole = [
        *found,
        report.number, report.craft.identification, report.craft.builder, report.electrician.business, business.name,
        report.terms.reference if report.terms else None, *(one.serial for one in report.instruments), *(one.qualified for one in findings.shore),
        *_carried(findings), *more,
    ]  # fmt: skip
    for text in (
        report.visit.place, report.signature.place, *business.lines, business.logo_alt,
        *(value for who in (report.client, report.owner, report.electrician) for value in (who.address, who.contact)),
    ):  # fmt: skip
        whole.append(text)
        whole += [part.strip() for part in re.split(r"[,;\n]", text or "") if len(part.strip()) >= 4]
    if report.craft.name:
        named.append(report.craft.name)
    return Scrubber([text for text in whole if text], [text for text in named if text])


def _carried(findings: Findings) -> Iterator[str]:
    defects = [one for result in findings.results for one in result.defects]
    for one in (*defects, *findings.extra):
        if one.carried is not None:
            yield one.carried.report
