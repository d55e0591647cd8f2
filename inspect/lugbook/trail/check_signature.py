"""Whose signatures there are, and whether they are good."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lugbook.trail.canonical import TrailError
from lugbook.trail.reading import Difference
from lugbook.trail.sshsig import SignatureError, Signed, check


@dataclass(slots=True)
class Signatures:
    """Checks signatures and remembers whose they were.

    `signers` maps the keys that whoever checks knows to names; None if they named none.
    """

    signers: Mapping[str, str] | None = None
    good: dict[str, str] = field(default_factory=dict)

    def check(
        self, armoured: bytes | None, message: bytes, namespace: str, place: str, stated: str | None
    ) -> list[Difference]:
        """What is wrong with one signature. `stated` is the fingerprint that the entry names."""
        if armoured is None:
            return [Difference("missing", place, "the signature is not there")]
        try:
            signed = check(armoured, message, namespace)
        except SignatureError as error:
            return [Difference("signature", place, f"not good: {error}")]
        except TrailError as error:
            return [Difference("not checked", place, str(error))]
        if stated is not None and signed.fingerprint != stated:
            return [
                Difference("unknown key", place, f"signed by {signed.fingerprint}; the entry names {stated}")
            ]
        return self._known(signed, place)

    def expect(self, place: str) -> list[Difference]:
        """What to say of something without a signature: whoever names signers expects one."""
        if self.signers is None:
            return []
        return [Difference("signature", place, "it is not signed, and you named signers")]

    def _known(self, signed: Signed, place: str) -> list[Difference]:
        name = (self.signers or {}).get(signed.text)
        if self.signers is not None and name is None:
            return [
                Difference(
                    "unknown key", place, f"{signed.fingerprint} is not among the signers that you named"
                )
            ]
        self.good[signed.fingerprint] = (
            name or "a key that this program does not know; name signers to say whose it is"
        )
        return []
