"""The demonstration visit: complete, varied, within its size, and consistent with itself."""

from __future__ import annotations

import re
import subprocess
from collections import Counter
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import get_args

import pytest
import yaml
from PIL import Image
from small_jobs import DemoReport

from lugbook.assess.evidence.fault_sources import inner
from lugbook.assess.judge import assess
from lugbook.cli import main
from lugbook.load.crosscheck import defects_of
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed
from lugbook.model.evidence import Evidence
from lugbook.model.findings import Photo
from lugbook.model.job import Job
from lugbook.model.network import Conductor
from lugbook.model.vocabulary import MarkKind, ResultWord

DEMO = Path(__file__).resolve().parents[1] / "photos_demo" / "wandering-plover"
MEGABYTE = 1_000_000
NEVER = re.compile(r"\bsafe(ly)?\b|certif|\bpass(es|ed)\b|\bcompl(y|ies|iant)\b|guarantee", re.IGNORECASE)
"""What a report never says of a boat or an item. 'Make safe' names work to be done and is taken out before the search."""


@pytest.fixture(scope="module")
def job() -> Job:
    loaded, problems = load_job(DEMO)
    assert loaded is not None, problems
    return loaded


@pytest.fixture(scope="module")
def assessed(job: Job) -> Assessed:
    return assess(job)


def photos_of(job: Job) -> list[Photo]:
    """Every picture that results and defects use, in the order of the file."""
    photos = [photo for result in job.findings.results for photo in result.photos]
    return photos + [photo for _, defect, _ in defects_of(job.findings) for photo in defect.photos]


def value(job: Job, reading: str) -> float:
    """A reading in SI units."""
    return next(one.value.value for one in job.findings.readings if one.id == reading)


def test_check_says_only_that_one_instrument_is_past_its_date(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(DEMO)]) == 0
    out, err = capsys.readouterr()
    lines = err.splitlines()
    assert len(lines) == 1
    assert re.fullmatch(
        re.escape(DEMO.as_posix())
        + r"/findings\.yaml:\d+:\d+: warning: report\.instruments\[1\]\.due: the calibration of 'clamp' was due on "
        r"2026-04-14, before the inspection on 2026-06-02 \[P402\]",
        lines[0],
    )
    assert out.startswith(f"{DEMO}: 1 warning\n")


def test_every_question_is_answered_and_every_result_is_used(job: Job) -> None:
    asked = {item.id for item in job.checklist.items if item.asked(job.findings.report.craft.fitted)}
    answered = {result.item for result in job.findings.results if result.result}
    assert answered == asked
    assert len(answered) >= 60
    results = Counter(result.result for result in job.findings.results)
    assert set(results) == set(get_args(ResultWord))
    assert results["not inspected"] >= 3
    assert results["further investigation"] >= 3


def test_extents_differ(job: Job) -> None:
    extents = [result.extent for result in job.findings.results if result.extent]
    assert {extent.look for extent in extents} == {"whole", "part seen", "sample", None}
    assert {extent.tested for extent in extents} == {True, False, None}


def test_defects_of_all_levels(job: Job, assessed: Assessed) -> None:
    levels = Counter(defect.risk.level for defect in assessed.defects if defect.seen is not None)
    assert 20 <= sum(levels.values()) <= 25
    assert all(levels[level] >= 2 for level in ("high", "serious", "medium", "low")), levels
    kinds = [defect for _, defect, _ in defects_of(job.findings)]
    assert job.findings.extra
    for what in ("risk", "heat_mark", "told", "opinion", "readings"):
        assert any(getattr(defect, what) for defect in kinds), what
    for act_by in ("make safe now", "before the next trip", "this season", "at the next refit"):
        assert any(defect.act_by == act_by for defect in assessed.defects), act_by


def test_limitations_and_instruments(job: Job) -> None:
    report = job.findings.report
    assert len(report.limitations) >= 2
    assert sum(instrument.due is not None for instrument in report.instruments) >= 3
    for reading in job.findings.readings:
        assert reading.state, reading.id
        assert reading.time, reading.id
        assert reading.instrument, reading.id
        assert report.visit.start is not None
        assert report.visit.finish is not None
        assert report.visit.start <= reading.time <= report.visit.finish, reading.id


def test_sixteen_pictures_with_every_kind_of_mark(job: Job) -> None:
    photos = photos_of(job)
    files = {photo.file for photo in photos}
    assert len(files) == len(photos) == 16
    assert files == {path.name for path in (DEMO / "photos").iterdir()}
    assert {mark.mark for photo in photos for mark in photo.marks} == set(get_args(MarkKind))


def test_the_report_says_at_once_that_it_is_a_sample(job: Job) -> None:
    report = job.findings.report
    for text in (report.scope, report.limitations[0]):
        assert text is not None
        assert "sample report" in text
        assert "rendered illustrations" in text
    assert not any("illustration" in photo.caption.lower() for photo in photos_of(job))


def test_first_page_says_what_to_do_until_then(assessed: Assessed) -> None:
    for defect in assessed.defects[:5]:
        assert defect.until_then, defect.title
        assert len(defect.until_then) <= 80, "one line of the first page"


RETURN = DEMO.with_name("wandering-plover-return")
SOONEST = ("make safe now", "before the next trip")


def test_no_text_asks_for_more_haste_than_the_deadline_beside_it(assessed: Assessed) -> None:
    """'Before the boat is next used' and a thing that the boat needs under way are not left until some day."""
    again, problems = load_job(RETURN)
    assert again is not None, problems
    soon = re.compile(
        r"\bbefore the (next trip|boat is next used)|\bdo not (steer|start|run|take the boat)", re.IGNORECASE
    )
    needed = re.compile(r"\b(compass|bilge pump|alarm|navigation light|steering)", re.IGNORECASE)
    found = 0
    for defect in (*assessed.defects, *assess(again).defects):
        hurried = soon.search(f"{defect.until_then} {defect.remedy}") or needed.search(defect.title)
        if hurried:
            found += 1
            assert defect.act_by in SOONEST, (defect.id, hurried[0], defect.act_by)
    assert found >= 8


def test_the_return_visit_carries_the_deadlines_of_the_first(assessed: Assessed) -> None:
    again, problems = load_job(RETURN)
    assert again is not None, problems
    first = {defect.id: (defect.risk.level, defect.act_by) for defect in assessed.defects}
    carried = [defect.carried for _, defect, _ in defects_of(again.findings) if defect.carried]
    assert len(carried) >= 20
    assert {one.id: (one.level, one.act_by) for one in carried} == {one.id: first[one.id] for one in carried}


def test_a_fault_current_names_the_figure_of_the_battery_that_it_came_from(
    job: Job, demo: DemoReport
) -> None:
    assert job.network is not None
    start = next(one for one in job.network.batteries if one.id == "start")
    assert inner(start, ()).source.startswith(
        "760 A (EN); estimated from the cold-cranking current; warm factor 0.4"
    )
    unknown = replace(start, cca_standard="not known")
    assert inner(unknown, ()).source.startswith(
        "760 A; standard not known; estimated from the cold-cranking current"
    )
    told = replace(start, cca=None, short_circuit=2800.0)
    assert inner(told, ()).source == "2800 A; maker's short-circuit current"
    cells = replace(start, cca=None, chemistry="lifepo4", cell_short_circuit=4200.0)
    assert inner(cells, ()).source == "4200 A; maker's short-circuit current of the bare cells"
    assert demo.view.calculations is not None
    printed = repr(demo.view.calculations)
    assert (
        "internal resistance of ‘Engine battery’ (assumed; 760 A (EN); estimated from the cold-cranking current"
        in printed
    )
    assert "internal resistance of ‘Service bank, block 1’ (assumed; 680 A (EN); estimated from" in printed


def test_a_reading_has_its_state_once_in_the_record_and_a_dash_for_no_limit(demo: DemoReport) -> None:
    answers = [answer for group in demo.view.groups for answer in group.answers]
    measured = [fact.text for answer in answers for fact in answer.statements if fact.label == "Measured"]
    assert len(measured) >= 10
    states = {reading.state for reading in demo.view.readings if len(reading.state) > 20}
    assert len(states) >= 20
    assert not [text for text in measured if any(f"({state})" in text for state in states)]
    page = (demo.folder / "report.html").read_text(encoding="utf-8")
    assert all(escape(state, quote=False) in page for state in states)
    assert page.count("A dash means that no limit is known.") == 1
    assert "No limit is known here." not in page


def test_the_report_is_no_thicker_than_it_was(demo: DemoReport) -> None:
    """62 pages once: half of them blank below, and a column of instruments a letter wide."""
    shown = subprocess.run(
        ["pdfinfo", demo.folder / "report.pdf"], capture_output=True, text=True, check=True
    )
    pages = re.search(r"(?m)^Pages: +(\d+)$", shown.stdout)
    assert pages is not None
    assert int(pages[1]) <= 56


def test_what_was_measured_is_not_told_again(job: Job) -> None:
    """A figure of a defect's own readings stands under 'Measured' and nowhere else on its card, but in its pictures."""
    again, problems = load_job(RETURN)
    assert again is not None, problems
    found = 0
    for one in (job, again):
        values = {reading.id: reading.value for reading in one.findings.readings}
        for _, defect, _ in defects_of(one.findings):
            told = {
                (float(number.replace(",", "")), unit)
                for number, unit in re.findall(r"(\d[\d.,]*\d|\d) (mV|V|mA|A|mm|m|N m)\b", defect.seen)
            }
            for reading in defect.readings:
                value = values[reading]
                found += 1
                assert (float(value.number), value.unit.replace("Nm", "N m")) not in told, (
                    defect.id,
                    reading,
                )
    assert found >= 20


def test_what_was_found_at_a_thing_stands_beside_what_is_computed_of_it(demo: DemoReport) -> None:
    """The bilge pump's cable is long enough for 360 mV with sound joints; 750 mV were lost through a bad one."""
    assert demo.view.calculations is not None
    number = next(d.number for d in demo.view.defects if d.id == "d27")
    rows = [row for table in demo.view.calculations.in_short for row in table.rows if row[0] == "Bilge pump"]
    assert any("loses" in said and said.endswith(f"But see defect {number}.") for _, said, _ in rows)
    fridge = [row for table in demo.view.calculations.in_short for row in table.rows if "Fridge" in row[0]]
    assert fridge
    assert not any("But see" in said for _, said, _ in fridge)


def test_what_is_entered_elsewhere_is_named(job: Job) -> None:
    """An answer that sends the reader to a defect names it in 'see', so that the report can print its number."""
    ids = {defect.id for _, defect, _ in defects_of(job.findings)}
    named = [result for result in job.findings.results if result.see]
    assert len(named) >= 10
    for result in job.findings.results:
        assert set(result.see) <= ids
        assert not set(result.see) & {defect.id for defect in result.defects}
        if result.result == "no departure seen":
            assert "own entry" not in (result.note or "") or result.see, result.item


def test_pictures_and_logo_are_small_and_whole() -> None:
    pictures = sorted((DEMO / "photos").iterdir())
    assert sum(path.stat().st_size for path in pictures) < 8 * MEGABYTE
    for path in [*pictures, DEMO.parent / "logo.png"]:
        with Image.open(path) as image:
            image.load()
            assert min(image.size) >= 300, path.name


def test_no_word_promises_anything_of_the_boat() -> None:
    def texts(node: object) -> list[str]:
        if isinstance(node, dict):
            return [text for part in node.values() for text in texts(part)]
        if isinstance(node, list):
            return [text for part in node for text in texts(part)]
        return [str(node)]

    written = texts(yaml.safe_load((DEMO / "findings.yaml").read_text(encoding="utf-8")))
    assert len(written) > 500
    for text in written:
        assert not NEVER.search(re.sub(r"\b(make|makes|made) (it )?safe\b", "", text, flags=re.IGNORECASE)), (
            text
        )


# The readings must fit each other, or the demonstration teaches nonsense.


@pytest.mark.parametrize(
    ("volts", "acid"),
    [
        ("rest-engine", ["density-engine"] * 6),
        ("rest-service-new", ["density-new"] * 6),
        ("rest-service-old", ["density-old"] * 5 + ["density-old-cell"]),
    ],
)
def test_acid_and_rest_volts_agree(job: Job, volts: str, acid: list[str]) -> None:
    # SOURCE: common practice, recalled: a resting lead-acid cell has about its relative density plus 0.845 volts.
    assert value(job, volts) == pytest.approx(sum(value(job, cell) + 0.845 for cell in acid), abs=0.02)


def test_cranking_volts_add_up(job: Job) -> None:
    # SOURCE: Kirchhoff's voltage law round the cranking circuit; the readings come from several crankings that differ
    # by a few hundredths of a volt, common practice, no source.
    parts = ("crank-motor", "crank-positive", "crank-negative")
    assert value(job, "crank-battery") == pytest.approx(sum(value(job, part) for part in parts), abs=0.05)
    assert value(job, "crank-joint") < value(job, "crank-negative")


def test_charging_volts_add_up(job: Job) -> None:
    # SOURCE: Kirchhoff's voltage law, Ohm's law; IEC 60228 gives 1.21 ohm/km for 16 mm2 plain copper at 20 degC, recalled.
    lost = value(job, "charge-alternator") - value(job, "charge-service")
    cable = value(job, "charge-current") * 2.6 * 1.21e-3
    named = value(job, "lug-drop") + value(job, "switch-drop") + value(job, "charge-negative") + cable
    assert named < lost < named + 0.05
    assert value(job, "lug-drop") == pytest.approx(lost / 2, rel=0.05)


def test_negative_side_loses_alike_while_cranking_and_charging(job: Job) -> None:
    # SOURCE: Ohm's law on the path that both currents share, from the battery to the engine.
    cranking = value(job, "crank-negative") / value(job, "crank-current")
    charging = value(job, "charge-negative") / value(job, "charge-current")
    assert charging == pytest.approx(cranking, rel=0.1)


def test_lug_heat_in_the_text_is_the_product_of_the_readings(job: Job) -> None:
    # SOURCE: Joule's law.
    watts = value(job, "lug-drop") * value(job, "charge-current")
    opinions = [defect.opinion or "" for _, defect, item in defects_of(job.findings) if item == "lug-hole"]
    assert f"about {watts:.0f} watts" in opinions[0]


def test_bilge_pump_loses_what_the_text_says(job: Job) -> None:
    # SOURCE: subtraction; the battery's volts stand in the state of the reading.
    reading = next(one for one in job.findings.readings if one.id == "pump-volts")
    battery = re.search(r"battery ([\d.]+) V", reading.state or "")
    assert battery is not None
    lost = float(battery[1]) - reading.value.value
    note = next(result.note for result in job.findings.results if result.item == "bilge-pump-isolator-off")
    assert note is not None
    assert f"{lost:.2f} V less" in note
    assert lost / 2 < value(job, "pump-joint") + value(job, "pump-holder") < lost


def test_drain_is_the_sum_of_its_parts(job: Job) -> None:
    # SOURCE: addition.
    reading = next(one for one in job.findings.readings if one.id == "drain-service")
    parts = [int(part) for part in re.findall(r"(\d+) mA", reading.note or "")]
    assert sum(parts) == round(reading.value.value * 1000)


# The installation: entered as the findings describe it, and computed beside what was seen.


def wire(job: Job, name: str) -> Conductor:
    """A conductor of the installation."""
    assert job.network is not None
    found = job.network.edges[name]
    assert isinstance(found, Conductor)
    return found


def worked(assessed: Assessed, analysis: str, subject: str, basis: str = "good-practice") -> Evidence:
    """The one piece of evidence of an analysis about a subject under a basis."""
    found = [e for e in assessed.evidence if (e.analysis, e.subject, e.basis) == (analysis, subject, basis)]
    assert len(found) == 1
    return found[0]


def test_installation_is_entered_and_judged_under_two_bases(job: Job, assessed: Assessed) -> None:
    assert job.network is not None
    assert [basis.id for basis in job.bases] == ["good-practice", "metric-small-craft"]
    assert {state.id for state in job.network.states} >= {
        "at-anchor",
        "motoring",
        "on-shore-power",
        "starting",
    }
    assert {one.basis for one in assessed.evidence} >= {"good-practice", "metric-small-craft"}
    needed = {load.id for load in job.network.loads if load.needed in ("afloat", "seen")}
    assert needed >= {"bilge-pump", "stern-light", "side-lights", "steaming-light"}


def test_the_installation_says_what_the_findings_say(job: Job) -> None:
    # SOURCE: the readings and the texts of the findings themselves.
    service, start = wire(job, "service-main"), wire(job, "start-main")
    assert service.length.low == start.length.low == value(job, "no-fuse-length")
    alternator = wire(job, "alternator-cable")
    assert alternator.end_b is not None
    assert alternator.end_b.hole == value(job, "hole")
    sizes = {
        "service-main": 35, "start-main": 35, "starter-cable": 35, "engine-neg": 35, "alternator-cable": 16, "thruster-feed": 50,
        "panel-feed": 10, "charger-start": 6, "charger-service": 6, "solar-lead": 4,
    }  # fmt: skip
    assert {name: wire(job, name).area for name in sizes} == pytest.approx(
        {name: area * 1e-6 for name, area in sizes.items()}
    )
    fuses = {
        "thruster-feed": (150, 0.15), "live-feed": (30, 0.15), "charger-start": (30, 0.15), "charger-service": (30, 0.15),
        "solar-lead": (15, 0.10), "bilge-pump.feed": (10, 0.0),
    }  # fmt: skip
    for name, (rating, at) in fuses.items():
        (placed,) = wire(job, name).devices
        assert placed.device.rating == rating, name
        assert placed.at == pytest.approx(at), name
    for name in ("service-main", "start-main", "starter-cable", "alternator-cable"):
        assert not wire(job, name).devices, name


def test_seen_and_computed_are_one_defect(assessed: Assessed) -> None:
    merged = {defect.id: defect for defect in assessed.defects if defect.evidence and defect.seen is not None}
    assert {"d13", "d14", "d19", "d23", "d25"} <= set(merged)
    assert {item.analysis for defect in merged.values() for item in defect.evidence} >= {
        "coverage", "terminations",
    }  # fmt: skip
    # A computed level that could not be dropped without a word stands beside what was seen.
    assert (merged["d13"].computed, merged["d13"].risk.level) == ("serious", "high")


def test_what_is_only_computed_is_little_and_every_disagreement_has_its_reason(assessed: Assessed) -> None:
    alone = [defect.id for defect in assessed.defects if defect.seen is None]
    assert 1 <= len(alone) <= 8, alone
    assert "c-fuse-near-battery-panel-feed" in alone
    assert assessed.overruled
    assert all(len(one.reason) > 40 for one in assessed.overruled)
    assert not assessed.idle, "a disagreement with nothing"


def test_unprotected_lengths_are_those_of_the_texts(assessed: Assessed) -> None:
    # SOURCE: worked by hand from the texts: 0.9 m to the switch, a bar to the bus, 2.6 m to the alternator, 0.15 m to
    # the fuse of the panel.
    found = {
        (one.subject, one.rule): one.high
        for one in assessed.evidence
        if one.analysis == "coverage" and one.basis == "good-practice"
    }
    assert found["service-main", "overcurrent, service"] == pytest.approx(0.9)
    assert found["start-main", "overcurrent, start"] == pytest.approx(0.9)
    assert found["alternator-cable", "overcurrent, service"] == pytest.approx(0.9 + 2.6)
    assert found["panel-feed", "overcurrent, start"] == pytest.approx(0.9 + 0.15)


def test_computed_drops_agree_with_the_readings(job: Job, assessed: Assessed) -> None:
    # SOURCE: the readings. What is computed has no joints in it, and thus lies a little below what was measured.
    stern = worked(assessed, "voltage drop", "stern-light")
    reading = next(one for one in job.findings.readings if one.id == "stern-lamp")
    lost = re.search(r"([\d.]+) V lost", reading.note or "")
    assert lost is not None
    assert stern.low < float(lost[1]) < stern.high + 0.02
    pump = worked(assessed, "voltage drop", "bilge-pump")
    named = value(job, "pump-joint") + value(job, "pump-holder")
    assert pump.verdict == "within"
    assert pump.high + named == pytest.approx(12.30 - value(job, "pump-volts"), abs=0.15)


def test_ampacities_by_hand(assessed: Assessed) -> None:
    # SOURCE: ISO 10133:2012, table A.1 (recalled): 130 A for 16 mm2 at 105 degC, 50 A for 6 mm2 at 85 degC; factors of
    # 33 CFR 183.425, table 5: 0.85 in engine spaces, 0.70 for three together. sqrt((105 - 50) / (105 - 30)) by physics.
    at = {
        basis: worked(assessed, "ampacity", "alternator-cable", basis)
        for basis in ("good-practice", "metric-small-craft")
    }
    limits = {basis: one.limit.value for basis, one in at.items() if one.limit is not None}
    assert limits["good-practice"] == pytest.approx(130 * 0.85)
    assert limits["metric-small-craft"] == pytest.approx(130 * (55 / 75) ** 0.5)
    charger = worked(assessed, "ampacity", "charger-start").limit
    assert charger is not None
    assert charger.value == pytest.approx(50 * 0.70)


def test_every_analysis_speaks(assessed: Assessed) -> None:
    """Batteries, the charging path and the mains side too; the mains side by somebody entitled to measure it."""
    spoken = {one.analysis for one in assessed.evidence}
    assert spoken == {
        "ampacity", "coordination", "voltage drop", "coverage", "terminations", "fault current", "breaking capacity",
        "fault heating", "batteries", "shore power",
    }  # fmt: skip
    tests = {one.rule for one in assessed.evidence if one.analysis == "batteries"}
    assert {
        "internal resistance",
        "charge at rest, rest-service-old",
        "charging voltage, charge-service",
    } <= tests
    for one in assessed.evidence:
        if one.analysis == "shore power":
            assert "entered in the trade register" in str(one.notes[0])


def test_the_weak_battery_has_the_larger_resistance(job: Job, assessed: Assessed) -> None:
    # SOURCE: Ohm's law on the two steps: (U1 - U2) / (I2 - I1).
    for name, block in (("old", "service.block-1"), ("new", "service.block-2")):
        ohms = (value(job, f"load-{name}-small") - value(job, f"load-{name}-large")) / (55 - 5)
        (found,) = [e for e in assessed.evidence if (e.rule, e.subject) == ("internal resistance", block)]
        assert found.low < ohms < found.high
    assert value(job, "load-old-small") - value(job, "load-old-large") > value(job, "load-new-small") - value(
        job, "load-new-large"
    )


def test_the_readings_lead_to_what_was_seen(job: Job, assessed: Assessed, demo: DemoReport) -> None:
    """The two joints that the inspector found are the two that the readings of the charging path give."""
    found = demo.view.diagnosis
    assert found is not None
    assert job.network is not None
    (best,) = found.best
    assert "‘Alternator's cable’ where it meets ‘Positive bus bar’" in best
    assert "‘Negative of the engine’ where it meets ‘Engine block’" in best
    at = {defect.id: defect.at for defect in assessed.defects}
    assert (at["d19"], at["d24"]) == ("pos-bus", "engine-neg")
    sentences = [found.verdict, best, *found.others, *found.undecided, *found.bridges]
    sentences += [text for one in found.excluded for text in (one.reading, *one.causes)]
    ids = {*job.network.edges, *job.network.nodes, *(state.id for state in job.network.states)}
    for sentence in sentences:
        assert not {name for name in ids if "-" in name or "." in name} & set(
            re.split(r"[\s‘’,:;]+", sentence)
        ), sentence


def test_the_chart_of_the_path_says_what_was_read(job: Job, demo: DemoReport) -> None:
    assert demo.view.diagnosis is not None
    chart = demo.view.diagnosis.chart
    assert chart is not None
    shown = [row[3] for row in chart.table.rows]
    assert shown[0].startswith("14.42\u00a0V")
    assert "13.95\u00a0V" in shown[2]
    # SOURCE: Kirchhoff's voltage law: bar plus lug, and battery plus negative side.
    assert f"{value(job, 'charge-bus') + value(job, 'lug-drop'):.2f}\u00a0V" in shown[1]
    assert f"{value(job, 'charge-service') + value(job, 'charge-negative'):.2f}\u00a0V" in shown[5]
    assert demo.view.calculations is not None
    devices = [chart.title.partition(" on ")[0] for chart in demo.view.calculations.charts]
    assert devices == ["Panel fuse", "Solar fuse"]


def test_diagram_and_calculations_are_in_the_pdf(demo: DemoReport) -> None:
    shown = subprocess.run(
        ["pdftotext", "-layout", str(demo.folder / "report.pdf"), "-"],
        capture_output=True,
        text=True,
        check=True,
    )
    text = " ".join(shown.stdout.split())
    assert demo.view.diagram is not None
    assert demo.view.calculations is not None
    drawn = text[text.rindex("Line diagram") :]
    for wanted in (
        "Sources",
        "Distribution",
        "Loads",
        "Positive bus bar",
        "Always-live bar",
        "Mains charger",
        "Bow thruster",
    ):
        assert wanted in drawn, wanted
    for sentence in (
        "One cause stands out.",
        "Voltage along the charging path, from ‘Alternator’ to ‘Service bank’",
        "Solar fuse on ‘Solar lead’: time and current",
        "in the trade register",
        "is unprotected for 900 mm along the conductors from",
        "has a hole of 13.0 mm on a stud M6: oversize.",
        "‘Feed bar of the cabin lights’ carries 6 lugs.",
        "whose maker allows 5.00 A at most.",
        "Computed, but the inspector does not follow",
        "The inspector disagrees: No cable joins the two banks.",
    ):
        assert sentence in text, sentence
