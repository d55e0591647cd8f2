"""The findings file of a return visit: pre-filled with what is known, and with every defect that is still open."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any, get_args

from lugbook.compose.yaml_text import flowed, yaml_text
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.checklist import Item
from lugbook.model.decided import Decided
from lugbook.model.findings import NOT_LOOKED, Reading
from lugbook.model.schema import SCHEMA
from lugbook.model.vocabulary import Feature

Plain = Callable[[Any], Any]

HEAD = """# yaml-language-server: $schema=./{schema}
# Findings of a return visit, after report {report} of {day}.
#
# Every defect that was still open is below, under its question, with the id that it keeps. For each of them write
#   now:    fixed | open | worse | gone        (gone: no longer applicable)
#   seen:   what you see today, and for one that is fixed, what was done
#   photos: pictures of today; those of the last visit stand under 'carried', which stays as it is
# Then answer the question itself: 'no departure seen' if all its defects are fixed, else 'defect'.
# A new defect goes into the same list, without 'now' and 'carried'; 'check --fix' gives it a new id.
# A reading with the place and quantity of last time is printed beside the old value.
{said}
"""
TAKE_AGAIN = """# These belong to open defects. Take them again at the same place: delete the '#', and fill in value and time.
"""


def compose_revisit(
    assessed: Assessed,
    number: str,
    revision: int | None,
    decided: Mapping[str, Decided],
    carried_on: tuple[JudgedDefect, ...],
    last: int,
    pictures: Mapping[str, str],
    plain: Plain,
    notices: Iterable[str] = (),
) -> str:
    """The text. `notices` are the dangers that the owner was told of last time, a line each. `last` is the highest defect number given, `pictures` the new names of pictures that are copied."""
    report = assessed.job.findings.report
    day = report.visit.date or report.date
    head: dict[str, Any] = {
        "format": "lugbook-findings-1",
        "last_defect": last,
        "report": _report(assessed, number, plain),
    }
    texts = [
        HEAD.format(
            schema=SCHEMA,
            report=report.number,
            day=day.isoformat() if day else "an earlier day",
            said="".join(f"# {line}\n" for line in _said(report.said_first, notices)),
        )
    ]
    texts.append(yaml_text(head) + "\n" + _readings(carried_on, plain))
    waiting: dict[str | None, list[dict[str, Any]]] = {}
    for defect in carried_on:
        entry = _defect(defect, assessed, revision, decided.get(defect.id), pictures, plain)
        waiting.setdefault(defect.item, []).append(entry)
    texts.append("\nresults:\n")
    for group in assessed.job.checklist.groups:
        texts.append(f"\n  # ==== {group.title} ====\n")
        texts += [_item(item, waiting.get(item.id, [])) for item in group.items]
    extra = waiting.get(None, [])
    texts.append(
        "\n# Defects that no item asks for.\n" + (yaml_text({"extra": extra}) if extra else "extra: []\n")
    )
    installation = assessed.job.findings.installation
    if installation is not None:
        texts.append("\n# As of the last visit: enter what has changed.\n")
        texts.append(yaml_text({"installation": plain(installation)}))
    return "".join(texts)


def _said(first: str | None, notices: Iterable[str]) -> list[str]:
    """What was said first last time, and the notices: history. What is to be said first now, today's visit decides."""
    lines = (
        [f"It said first: {first}", "  If that still holds, say so anew under 'said_first'."] if first else []
    )
    lines += [f"Notice of danger given then: {notice}" for notice in notices]
    return ["", *(" ".join(line.split()) if line[0] != " " else line for line in lines)] if lines else []


def _report(assessed: Assessed, number: str, plain: Plain) -> dict[str, Any]:
    """The head: who and what as before, the day and what was seen on it empty."""
    old = assessed.job.findings.report
    known = plain(old)
    craft = {key: value for key, value in known.get("craft", {}).items() if key != "photo"}
    craft["fitted"] = {feature: old.craft.fitted.get(feature) for feature in get_args(Feature)}
    kept: dict[str, Any] = {
        "number": number,
        "date": None,
        "purpose": f"Return visit after report {old.number}",
        "said_first": None,
        "checklists": known["checklists"],
        "instructed": None,
        "scope": known.get("scope"),
    }
    for key in ("client", "owner", "permission", "reliance", "electrician"):
        kept[key] = None if key == "permission" else known.get(key) or None
    kept["craft"] = craft
    kept["visit"] = dict.fromkeys(
        ("date", "start", "finish", "place", "afloat", "shore_lead", "energised", "present", "opened")
    )
    kept["limitations"] = None
    kept["instruments"] = [{**one, "check": None} for one in known.get("instruments", [])]
    for key in ("basis", "distribution", "terms"):
        kept[key] = known.get(key) or None
    kept["signature"] = {"name": (known.get("signature") or {}).get("name"), "date": None, "place": None}
    return kept


def _readings(defects: Iterable[JudgedDefect], plain: Plain) -> str:
    """The readings of the open defects as comments, ready to be taken again."""
    taken: dict[str, Reading] = {reading.id: reading for defect in defects for reading in defect.readings}
    if not taken:
        return "readings: []\n"
    lines = []
    for reading in taken.values():
        kept = {
            key: plain(getattr(reading, key))
            for key in ("id", "quantity", "value", "place", "state", "instrument")
        }
        kept["value"] = None
        told = ", ".join(
            f"{key}: {_flow(value)}" for key, value in kept.items() if value is not None or key == "value"
        )
        lines.append(f"# - {{{told}, time: }}\n")
    return "readings:\n" + TAKE_AGAIN + "".join(lines)


def _flow(value: Any) -> str:
    text = flowed(value)
    return (
        json.dumps(value, ensure_ascii=False)
        if isinstance(value, str) and "," in text and text[0] != '"'
        else text
    )


def _item(item: Item, defects: list[dict[str, Any]]) -> str:
    only = f"\n  # Only with: {', '.join(item.applies)}" if item.applies else ""
    entry = f"\n  # {item.question}{only}\n  - item: {item.id}\n    result:\n    extent:\n"
    return entry + (yaml_text({"defects": defects}, 4) if defects else "")


def _defect(
    defect: JudgedDefect,
    assessed: Assessed,
    revision: int | None,
    decided: Decided | None,
    pictures: Mapping[str, str],
    plain: Plain,
) -> dict[str, Any]:
    """A defect as the return visit begins with it. What was written of it then goes on, what was seen does not."""
    source = _written(defect, assessed)
    given = {key: value for key, value in plain(source).items() if key not in NOT_CARRIED}
    entry: dict[str, Any] = {
        "id": defect.id,
        "now": None,
        "title": given.pop("title"),
        "place": given.pop("place"),
    }
    entry["seen"] = NOT_LOOKED
    entry |= given
    entry["carried"] = _carried(defect, assessed, revision, decided, pictures, plain)
    return entry


NOT_CARRIED = frozenset({"id", "seen", "told", "opinion", "readings", "photos", "now", "carried"})


def _written(defect: JudgedDefect, assessed: Assessed) -> Any:
    findings = assessed.job.findings
    written = [one for result in findings.results for one in result.defects]
    return next(one for one in (*written, *findings.extra) if one.id == defect.id)


def _carried(
    defect: JudgedDefect,
    assessed: Assessed,
    revision: int | None,
    decided: Decided | None,
    pictures: Mapping[str, str],
    plain: Plain,
) -> dict[str, Any]:
    report = assessed.job.findings.report
    day = report.visit.date or report.date
    before = defect.carried
    first = before.first_seen if before and before.first_seen else day
    made: dict[str, Any] = {
        "report": report.number,
        "revision": revision,
        "id": defect.id,
        "first_seen": plain(first),
        "visited": plain(day),
        "title": defect.title,
        "level": defect.risk.level,
        "act_by": defect.act_by,
        "seen": defect.seen or defect.title,
    }
    readings = [_reading(reading, plain) for reading in defect.readings]
    photos = [{**plain(photo), "file": pictures[photo.file], **_private(photo)} for photo in defect.photos]
    lines = list(before.history) if before else []
    if before is not None:
        lines.append(f"{before.visited or 'earlier'}: report {before.report}, {before.level} risk")
    for key, value in (("readings", readings), ("photos", photos), ("history", lines)):
        if value:
            made[key] = value
    if decided is not None:
        made["decided"] = _decided(decided)
    return {key: value for key, value in made.items() if value is not None}


def _private(photo: Any) -> dict[str, Any]:
    """What the plain form of findings leaves out."""
    return {"private": True} if photo.private else {}


def _reading(reading: Reading, plain: Plain) -> dict[str, Any]:
    found = {key: plain(getattr(reading, key)) for key in ("quantity", "value", "place", "state")}
    return {key: value for key, value in found.items() if value is not None}


def _decided(decided: Decided) -> dict[str, Any]:
    made = {
        "decision": decided.decision,
        "by": decided.role,
        "date": decided.day.isoformat(),
        "authority": decided.authority,
        "channel": decided.channel,
        "revision": decided.revision,
        "evidence": decided.evidence,
        "note": decided.note,
    }
    return {key: value for key, value in made.items() if value is not None}
