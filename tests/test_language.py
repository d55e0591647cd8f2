"""A second language: complete, with its own numbers and dates, and nothing left of the first."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from small_jobs import DEMO

from lugbook.assess.evidence.run import evidence
from lugbook.assess.judge import assess
from lugbook.cli import main
from lugbook.compose.calculations import compose_calculations
from lugbook.compose.common import Phrases
from lugbook.compose.evidence import PLACED_RULE
from lugbook.load.bases import load_bases, shipped_bases
from lugbook.load.checklists import shipped_items
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.load.job import load_job
from lugbook.load.language import known_sentences, load_language
from lugbook.load.translations import complete, load_translations, untranslated
from lugbook.load.tree import Document
from lugbook.model.evidence import Amount, Circumstances, Evidence
from lugbook.model.installation import InstallationFile
from lugbook.model.quantity import Quantity
from lugbook.model.translation import TranslationFile
from lugbook.render.own_language import mark_language, own_texts
from lugbook.words.catalogue import Words, flatten, load_words, shipped_language, shipped_languages
from lugbook.words.numbers import Formatter
from lugbook.words.sentences import JOINTS, PLACED, missing, places, template, translated

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "inspect" / "lugbook"
ENGLISH = shipped_language("en")
OTHERS = [code for code in shipped_languages() if code != "en"]
# What shipped text never says of a boat or a part of it.
FORBIDDEN = {
    "en": r"\b(safe|certified|passes(?! through)|complies|compliant|guaranteed?)\b",
    "de": r"\b(sicher(e[mnrs]?|heit)?|zertifiziert\w*|bestanden\w*|entspricht|entsprechen|garantier\w*)\b",
}
# What is to be done to a danger is no word about the boat.
ALLOWED = re.compile(
    r"\b(make|made|making|making it|made it|make it|have it made) safe\b|\bit safe\b", re.IGNORECASE
)
PLURAL = re.compile(r"[.](one|other)$")


@pytest.mark.parametrize("code", shipped_languages())
def test_a_language_that_ships_is_what_its_file_says(code: str) -> None:
    """Its texts are read late, so code and locale do not come from a YAML reader."""
    language = shipped_language(code)
    tree = yaml.safe_load((PACKAGE / "words" / f"{code}.yaml").read_text(encoding="utf-8"))
    assert (language.code, language.locale) == (tree["language"], tree["locale"])
    assert dict(language.sentences) == tree.pop("sentences", {})
    assert set(language.texts) == set(flatten(tree))


def test_a_name_that_no_disk_takes_is_no_language(tmp_path: Path) -> None:
    findings = Document("findings.yaml", "")
    assert load_language("x" * 5000, tmp_path, findings, ("report", "language")) == ENGLISH
    assert [problem.code for problem in findings.problems] == ["P660"]


def test_very_many_faults_of_a_language_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "words").mkdir()
    keys = "".join(f"key{n}: 1\n" for n in range(3_000))
    (tmp_path / "words" / "de.yaml").write_text(keys, encoding="utf-8")
    assert main(["words", "de", "--folder", str(tmp_path)]) == 1
    assert "[P008]" in capsys.readouterr().err


def test_german_ships() -> None:
    assert "de" in OTHERS


@pytest.mark.parametrize("code", OTHERS)
def test_every_key_with_its_placeholders(code: str) -> None:
    texts = shipped_language(code).texts
    assert set(texts) == set(ENGLISH.texts)
    counted = {key for key in texts if PLURAL.search(key)}
    assert not {key for key in set(texts) - counted if places(ENGLISH.texts[key]) != places(texts[key])}
    assert not {key for key in counted if places(texts[key]) - places(ENGLISH.texts[key]) - {"n"}}


@pytest.mark.parametrize("code", OTHERS)
def test_every_sentence_keeps_its_placeholders(code: str) -> None:
    sentences = shipped_language(code).sentences
    assert not [key for key, text in sentences.items() if places(key) != places(text)]


@pytest.mark.parametrize("code", sorted(FORBIDDEN))
def test_words_that_are_said_of_no_boat(code: str) -> None:
    language = shipped_language(code)
    texts = {**language.texts, **language.sentences}
    for path in (ROOT / "checklists" / code).rglob("*.yaml"):
        texts[path.name] = path.read_text(encoding="utf-8")
    forbidden = re.compile(FORBIDDEN[code], re.IGNORECASE)
    assert not {key: text for key, text in texts.items() if forbidden.search(ALLOWED.sub("", text))}


def test_the_forbidden_words_are_found() -> None:
    for text in (
        "Das Boot ist sicher.",
        "eine sichere Anlage",
        "entspricht der Norm",
        "Zertifizierte Anlage",
    ):
        assert re.search(FORBIDDEN["de"], text, re.IGNORECASE), text
    assert not re.search(FORBIDDEN["de"], "Sicherung, Versicherung, absichern", re.IGNORECASE)


# --- sentences -----------------------------------------------------------------------------------------------


def test_a_sentence_is_translated_whole_or_in_parts_with_its_numbers_in_place() -> None:
    text, values = template(
        ("'fuse-1' loses ", Amount(0.35, "V"), " to ", Amount(0.4, "V"), ", 10 mm2; why.")
    )
    assert text == "{0} loses {1} to {2}, {3}; why."
    assert [getattr(value, "text", None) for value in values] == ["'fuse-1'", None, None, "10 mm2"]
    known = {"{0} loses {1} to {2}, {3}": "von {1} bis {2} bei {0}, {3}", "why": "warum"}
    assert translated(text, known) == "von {1} bis {2} bei {0}, {3}; warum."
    second = {"{0} a": "a {0}", "b {0} c {1}": "{1} c {0} b", ", and ": ", und "}
    assert translated("{0} a, and b {1} c {2}", second) == "a {0}, und {2} c {1} b"
    assert missing("{0} a; what is this", second) == ("what is this",)
    assert translated("{0} a; where the user says", second) == "a {0}; where the user says"


def test_an_apostrophe_is_no_quotation_mark() -> None:
    assert template(("the maker's largest fuse, or the device's time",))[1] == ()


def spoken_text(path: Path) -> list[tuple[int, str]]:
    """Texts in a module that look like sentences for a reader: three words and more, no docstring, no exception."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise | ast.Assert):
            silent |= {id(inner) for inner in ast.walk(node)}
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent
    ]


def pieces_of(text: str) -> list[str]:
    """The stretches of a text between its changing parts and its joints."""
    parts = JOINTS.split(PLACED.sub("{", text))[::2]
    pieces = [piece.strip(" .,;'") for part in parts for piece in re.split(r"[{}'()]|[Ee]xempt by", part)]
    return [piece for piece in pieces if len(re.findall(r"[a-z]{2,}", piece)) >= 3 and piece.count(" ") >= 2]


# Words of the vocabulary, which the catalogue has under keys of its own, and pieces of which entries are made.
SPOKEN_ELSEWHERE = {
    "cannot be decided",
    "does not open",
    "with and without temperature compensation",
    "V or more, as marked on it",
}
MODULES = [*sorted((PACKAGE / "assess" / "evidence").glob("*.py")), PACKAGE / "model" / "defaults.py"]


@pytest.mark.parametrize("code", OTHERS)
def test_every_sentence_in_the_code_has_its_translation(code: str) -> None:
    """Statically: each piece of an analysis's text is a part of some English sentence of the language file."""
    known = " | ".join(shipped_language(code).sentences).casefold()
    lacking = [
        f"{path.name}:{line}: {piece}"
        for path in MODULES
        for line, text in spoken_text(path)
        for piece in pieces_of(text)
        if piece not in SPOKEN_ELSEWHERE and piece.casefold() not in known
    ]
    assert not lacking, f"write these under 'sentences' in words/{code}.yaml"


# --- numbers and dates ---------------------------------------------------------------------------------------

GERMAN = Formatter(load_words("de").locale)
# DIN 1333 and DIN 5008 (recalled): decimal comma, a space before the unit and before the per cent sign, day and month
# with a full stop after the day, time as hh:mm. CLDR's data for 'de': full stop between thousands.
WRITTEN = [
    (GERMAN.quantity(Quantity(12.62, Decimal("12.62"), "V", "voltage")), "12,62 V", "DIN 1333"),
    (GERMAN.amount(0.0083, "ohm"), "8,30 mΩ", "DIN 1333"),
    (GERMAN.number(Decimal("1234567.5")), "1.234.567,5", "CLDR"),
    (GERMAN.percent(0.63), "63 %", "DIN 5008"),
    (GERMAN.day(date(2026, 6, 2)), "2. Juni 2026", "DIN 5008"),
    (GERMAN.day(date(2026, 3, 14)), "14. März 2026", "DIN 5008"),
    (GERMAN.written("1.5 mm2"), "1,5 mm²", "DIN 1333"),
]


@pytest.mark.parametrize(("made", "wanted", "source"), WRITTEN, ids=[row[1] for row in WRITTEN])
def test_numbers_and_dates_as_the_conventions_write_them(made: str, wanted: str, source: str) -> None:
    assert made.replace("\u00a0", " ") == wanted, source


def test_plural_forms_follow_the_language() -> None:
    words = load_words("de")
    assert words.count("verdict.trip", 1).startswith("Ein Punkt ist")
    assert words.count("verdict.trip", 2).startswith("2 Punkte sind")


# --- a language of the user's own ----------------------------------------------------------------------------

POLISH = """language: pl
locale: pl_PL
draft: "Szkic"
verdict: {trip: {one: "Jedna rzecz", few: "{n} rzeczy", many: "{n} wielu", other: "{n} rzeczy inne"}}
sentences:
  "{0} is its share": "to jest {0}"
"""


def test_a_user_adds_a_language_with_its_own_plural_forms(tmp_path: Path) -> None:
    """Polish has 'few' for 2 to 4 and 'many' for 5 (CLDR's plural rules)."""
    (tmp_path / "job").mkdir()
    (tmp_path / "words").mkdir()
    (tmp_path / "words" / "pl.yaml").write_text(POLISH, encoding="utf-8")
    document = Document("findings.yaml", "")
    language = load_language("pl", tmp_path / "job", document, ("report", "language"))
    assert [problem.code for problem in document.problems] == ["P662"]
    words = Words(language)
    assert [words.count("verdict.trip", n) for n in (1, 3, 5)] == ["Jedna rzecz", "3 rzeczy", "5 wielu"]
    assert words("draft") == "Szkic"
    assert words("title.plan") == load_words()("title.plan"), "what is not translated is said in English"
    assert words.sentence("{0} is its share.") == "to jest {0}."
    assert Formatter(words.locale).number(Decimal("1.5")) == "1,5"


def test_a_user_overrides_words_that_ship(tmp_path: Path) -> None:
    (tmp_path / "words").mkdir()
    own = "language: de\nlocale: de_AT\nvisit: {electrician: Sachverständiger}\n"
    (tmp_path / "words" / "de.yaml").write_text(own, encoding="utf-8")
    document = Document("findings.yaml", "")
    words = Words(load_language("de", tmp_path, document, ("report", "language")))
    assert not document.problems
    assert words("visit.electrician") == "Sachverständiger"
    assert words("visit.boat") == load_words("de")("visit.boat")


def test_the_skeleton_of_a_language_is_a_language_file_with_everything_missing(tmp_path: Path) -> None:
    from lugbook.pipeline.language import language_gaps, language_skeleton

    (tmp_path / "words").mkdir()
    text = language_skeleton("fr").replace("locale:  ", "locale: fr_FR #")
    (tmp_path / "words" / "fr.yaml").write_text(text, encoding="utf-8")
    gaps = language_gaps("fr", tmp_path)
    assert len(gaps.keys) == len(ENGLISH.texts) - 2
    assert set(gaps.sentences) == set(known_sentences())
    assert set(gaps.items) == set(shipped_items())
    assert gaps.stale == ()


# --- what the analyses say, at run time ----------------------------------------------------------------------


def said(one: Evidence) -> Iterator[str]:
    """Every English template of a piece of evidence, without names that stand alone."""
    sentences = (one.says, one.numbers, one.brief, *one.notes)
    texts = [one.formula, one.exempt, *one.wants, *(a.default.sentence for a in one.assumptions)]
    texts += [a.default.source for a in one.assumptions] + [a.name for a in one.alternatives]
    texts += [text for each in one.inputs for text in (each.name, each.source)]
    texts += [one.limit.clause] if one.limit is not None else []
    yield from (template(tokens)[0] for tokens in (*sentences, *((text,) for text in texts)))
    rule, values = template((one.rule,))
    yield PLACED_RULE.sub(lambda match: f"{match[1]}{match[2]}{{{len(values)}}}", rule)


def boats() -> list[Path]:
    return sorted((ROOT / "tests" / "boats").glob("*.yaml"))


@pytest.mark.parametrize("path", boats(), ids=lambda path: path.stem)
def test_what_is_computed_of_the_boats_has_its_translation(path: Path) -> None:
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    assert file is not None
    network = load_installation(file.installation, document)
    bases = load_bases(shipped_bases(), ROOT, Document("x", ""), ())
    found = evidence(network, bases, Circumstances(date(2026, 6, 2), 2001))
    assert len(found) > 20
    known = shipped_language("de").sentences
    assert not {
        part for one in found for text in said(one) if text not in known for part in missing(text, known)
    }


# --- checklists ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", OTHERS)
def test_every_item_is_whole_in_a_shipped_language(code: str) -> None:
    """A text that is missing in a user's own language is a note; in a language that ships it is a fault."""
    document = Document("x", "")
    assert untranslated(shipped_language(code), shipped_items(), document) == ()
    assert not document.problems


@pytest.mark.parametrize("code", OTHERS)
def test_every_list_and_group_has_its_heading_in_a_shipped_language(code: str) -> None:
    folder = ROOT / "checklists"
    originals = {
        path.relative_to(folder) for path in (*folder.glob("*.yaml"), *(folder / "groups").glob("*.yaml"))
    }
    assert len(originals) > 20
    for path in originals:
        document = read_document(folder / code / path, path.name)
        file = build(TranslationFile, document)
        assert file is not None, path
        assert file.title, path
        assert file.purpose or path.parent.name == "groups", path


def test_each_text_that_an_item_lacks_makes_it_unfinished() -> None:
    known = shipped_items()
    items = load_translations(shipped_language("de"), known, Document("x", "")).items
    whole, texts = known["fuse-taps"], items["fuse-taps"]
    assert complete(whole, texts)
    for name in ("question", "look", "why", "remedy"):
        assert not complete(whole, texts.model_copy(update={name: None})), name
    for name in ("evidence", "sources"):
        assert not complete(whole, texts.model_copy(update={name: getattr(texts, name)[1:]})), name


def test_no_item_is_left_in_english_or_half_of_it() -> None:
    known = shipped_items()
    items = load_translations(shipped_language("de"), known, Document("x", "")).items
    for key, item in items.items():
        said = (item.question, item.look, item.why, item.remedy, *item.evidence, *item.sources)
        assert not [text for text in said if text is None or ENGLISH_WORDS.search(text)], key
        old = known[key]
        before = {old.question, old.look, old.why, old.remedy, *old.evidence}
        before |= {source.subject for source in old.source}
        assert not before & set(said), key


# --- texts of people in another language ---------------------------------------------------------------------


def test_own_texts_are_marked_and_nothing_else() -> None:
    own = own_texts({"title": "No fuse at “all”", "seen": "First line.\nSecond line.", "word": "fuse"})
    page = '<title>No fuse at "all"</title><h3>3. No fuse at ’all’</h3><p>First line.</p><b>Mangel</b><b>fuse</b>'
    page = page.replace("’all’", "“all”")
    marked = mark_language(page, own, "en")
    assert '<h3>3. <span lang="en">No fuse at “all”</span></h3>' in marked
    assert '<p><span lang="en">First line.</span></p>' in marked
    assert "<title>No fuse" in marked
    assert "<b>Mangel</b><b>fuse</b>" in marked


ENGLISH_WORDS = re.compile(r"\b(the|and|of|with|is|are|which|from|this|that|without|than|its|has|been)\b")
NAMED = re.compile(r"‚[^‘]*‘")


def test_no_english_is_left_in_what_the_program_says_of_the_german_demo() -> None:
    """Every sentence of its calculations, without names in quotes and what the inspector wrote."""
    job, _ = load_job(DEMO, "de")
    assert job is not None
    found = compose_calculations(assess(job), Phrases(Words(job.language)))
    assert found is not None
    told = []
    for one in (*found.departures, *found.undecided, *found.within):
        told += [one.analysis, one.verdict, one.says, one.formula, one.numbers, one.limit or "", *one.notes]
        told += [*one.inputs, *one.alternatives, *one.assumptions, *one.wants]
    findings = job.findings
    own = [reading.place for reading in findings.readings] + [
        visit.qualified or "" for visit in findings.shore
    ]
    own += [reading.place for visit in findings.shore for reading in visit.readings]
    for name in sorted(filter(None, own), key=len, reverse=True):
        told = [text.replace(name, "") for text in told]
    assert len(told) > 200
    assert not {text for text in told if ENGLISH_WORDS.search(NAMED.sub("", text))}
