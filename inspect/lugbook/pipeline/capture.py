"""What the capture page must know of the rules."""

from __future__ import annotations

from pathlib import Path

from lugbook.assess.evidence.shore_limits import CONTINUITY, DELAYED, INSULATION, PROMPT, RCD
from lugbook.assess.risk import MATRIX, SEVERITIES
from lugbook.load.bases import load_bases, shipped_bases
from lugbook.load.crosscheck import NEEDED
from lugbook.load.tree import Document
from lugbook.model.capture import CaptureRules


def capture_rules() -> CaptureRules:
    """What the capture page must know of the rules, from the stages that own them and the basis of good practice."""
    document = Document("lugbook", "")
    (practice,) = load_bases(("good-practice",), Path(), document, ())
    every = load_bases(shipped_bases(), Path(), document, ())
    torque = practice.limits.torque
    return CaptureRules(
        matrix={probability: tuple(row) for probability, row in MATRIX.items()},
        severities=SEVERITIES,
        needed=NEEDED,
        torque={
            stud: (str(least.number), str(most.number))
            for stud, (least, most) in (torque.studs.items() if torque else ())
        },
        shore={
            "continuity": (CONTINUITY.value, CONTINUITY.clause),
            "insulation": {name: (row.least, row.clause) for name, row in INSULATION.items()},
            "prompt": PROMPT,
            "delayed": DELAYED,
            "half": RCD.value,
            "rcd": RCD.clause,
        },
        bases=tuple((basis.id, basis.title) for basis in every),
    )
