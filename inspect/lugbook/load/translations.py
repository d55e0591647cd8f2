"""Checklists in the language of the report: the texts of a translation laid over those of the list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from lugbook.data import data_folder
from lugbook.load.faults import build, nearest
from lugbook.load.files import read_document
from lugbook.load.tree import Document
from lugbook.model.checklist import Checklist, ChecklistGroup, Item
from lugbook.model.language import Language
from lugbook.model.translation import ItemTexts, TranslationFile
from lugbook.words.catalogue import ENGLISH


@dataclass(frozen=True, slots=True)
class Translations:
    """The texts of the lists and groups that a job uses: titles by list, by group, items by id."""

    lists: Mapping[str, str]
    groups: Mapping[str, str]
    items: Mapping[str, ItemTexts]

    def item(self, one: Item) -> Item:
        """The item with its translated texts."""
        texts = self.items.get(one.id)
        return one if texts is None else translated_item(one, texts)

    def checklist(self, one: Checklist) -> Checklist:
        """The checklist with its translated texts."""
        return Checklist(
            ids=one.ids,
            titles=tuple(self.lists.get(i, t) for i, t in zip(one.ids, one.titles, strict=True)),
            editions=one.editions,
            groups=tuple(
                ChecklistGroup(
                    id=group.id,
                    title=self.groups.get(group.id, group.title),
                    items=tuple(self.item(item) for item in group.items),
                )
                for group in one.groups
            ),
        )


def translated_item(one: Item, texts: ItemTexts) -> Item:
    """An item in other words; its judgement stays. Lists that do not match in length stay as they are."""
    given = texts.model_dump(exclude_none=True, exclude={"evidence", "sources"})
    if len(texts.evidence) == len(one.evidence):
        given["evidence"] = texts.evidence
    subjects = iter(texts.sources)
    if len(texts.sources) == sum(source.subject is not None for source in one.source):
        given["source"] = tuple(
            source if source.subject is None else source.model_copy(update={"subject": next(subjects)})
            for source in one.source
        )
    return one.model_copy(update=given)


def translation_files(language: Language) -> Iterator[tuple[str, Path]]:
    """The shipped files of a language, then the user's own, by the part that they translate: `groups/engine`."""
    if language.code == ENGLISH:
        return
    folder = data_folder("checklists") / language.code
    for path in sorted(folder.rglob("*.yaml")):
        yield path.relative_to(folder).with_suffix("").as_posix(), path
    for name, path in language.own.items():
        _, _, inner = name.partition(f"/{language.code}/")
        if inner:
            yield inner.removesuffix(".yaml"), path


def load_translations(language: Language, known: Mapping[str, Item], findings: Document) -> Translations:
    """Read every translation of a language. Faults, and items that do not exist, are added to `findings`."""
    lists: dict[str, str] = {}
    groups: dict[str, str] = {}
    items: dict[str, ItemTexts] = {}
    own = set(language.own.values())
    for part, path in translation_files(language):
        name = f"words/{language.code}/{part}.yaml" if path in own else f"{language.code}/{part}.yaml"
        document = read_document(path, name)
        file = build(TranslationFile, document)
        if file is not None:
            title = groups if part.startswith("groups/") else lists
            if file.title is not None:
                title[part.removeprefix("groups/")] = file.title
            groups |= file.titles
            for key, texts in file.items.items():
                if key in known:
                    items[key] = _over(items.get(key), texts)
                else:
                    message = f"no checklist has an item '{key}'"
                    document.report(("items", key), "P661", message, nearest(key, known), on_key=True)
        findings.problems += document.problems
    return Translations(lists, groups, items)


def untranslated(language: Language, known: Mapping[str, Item], findings: Document) -> tuple[str, ...]:
    """The ids of items that lack a text in this language. Faults of the files are added to `findings`."""
    if language.code == ENGLISH:
        return ()
    items = load_translations(language, known, findings).items
    return tuple(key for key, item in known.items() if not complete(item, items.get(key)))


def complete(item: Item, texts: ItemTexts | None) -> bool:
    """Whether every text of an item is there."""
    return texts is not None and (
        None not in (texts.question, texts.look, texts.why, texts.remedy)
        and len(texts.evidence) == len(item.evidence)
        and len(texts.sources) == sum(source.subject is not None for source in item.source)
    )


def _over(before: ItemTexts | None, texts: ItemTexts) -> ItemTexts:
    """A user's own words over shipped ones."""
    if before is None:
        return texts
    given = {key: value for key, value in texts if value not in (None, ())}
    return before.model_copy(update=given)
