"""Time-stamp tokens made elsewhere (RFC 3161): read, compared with the head that they name, and checked.

What is checked: the token is made over this SHA-256; its signed attributes hold the sum of its content; and, if the
authority's certificate is given, its signature is by that certificate's key, and the certificate is for time
stamps. Whether the certificate itself is to be trusted is not decided here: `openssl ts -verify` does that.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from lugbook.trail.canonical import TrailError
from lugbook.trail.sshsig import NEEDS_EXTRA

MAX_BYTES = 200_000


class TokenError(Exception):
    """The token does not fit; the message says why."""


@dataclass(frozen=True, slots=True)
class Token:
    """What a token says. `signature_checked` is False if no certificate was given."""

    imprint: str
    time: str
    signature_checked: bool


def read_token(data: bytes, certificate: bytes | None = None) -> Token:
    """Read and check a token or a whole response. Raises TokenError, or TrailError without the libraries."""
    if len(data) > MAX_BYTES:
        raise TokenError("it is too large for a time-stamp token")
    try:
        from asn1crypto import cms, tsp  # type: ignore[import-untyped,unused-ignore]
    except ImportError as error:
        raise TrailError(NEEDS_EXTRA) from error
    try:
        signed, info = _open(data, cms, tsp)
        imprint = info["message_imprint"]
        if imprint["hash_algorithm"]["algorithm"].native != "sha256":
            raise TokenError("it is made over another kind of sum than SHA-256")
        moment = info["gen_time"].native
        signer = signed["signer_infos"][0]
        _check_digest(signed, signer)
        if certificate is not None:
            _check_signature(signer, certificate)
        return Token(imprint["hashed_message"].native.hex(), _text(moment), certificate is not None)
    except (TokenError, TrailError):
        raise
    except Exception as error:  # whatever a reader of foreign bytes may run into
        raise TokenError("this is not a time-stamp token that can be read") from error


def _open(data: bytes, cms: Any, tsp: Any) -> tuple[Any, Any]:
    """The signed data and what was signed, from a response or a bare token."""
    content = None
    try:
        response = tsp.TimeStampResp.load(data, strict=True)
        if response["status"]["status"].native not in ("granted", "granted_with_mods"):
            raise TokenError("the authority did not grant it")
        content = response["time_stamp_token"]
        content["content_type"].native  # noqa: B018 - fails here if it is no response
    except TokenError:
        raise
    except Exception:
        content = cms.ContentInfo.load(data, strict=True)
    signed = content["content"]
    encapsulated = signed["encap_content_info"]
    if encapsulated["content_type"].native != "tst_info" or len(signed["signer_infos"]) != 1:
        raise TokenError("it holds no time stamp")
    return signed, encapsulated["content"].parsed


def _check_digest(signed: Any, signer: Any) -> None:
    import hashlib

    content = bytes(signed["encap_content_info"]["content"])
    name = signer["digest_algorithm"]["algorithm"].native
    if name not in ("sha256", "sha384", "sha512"):
        raise TokenError("it uses a hash that is not known here")
    wanted = hashlib.new(name, content).digest()
    stated = [
        value.native
        for attribute in signer["signed_attrs"]
        if attribute["type"].native == "message_digest"
        for value in attribute["values"]
    ]
    if stated != [wanted]:
        raise TokenError("what it signs is not what it holds")


def _check_signature(signer: Any, certificate: bytes) -> None:
    from cryptography import x509
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
    from cryptography.x509.oid import ExtendedKeyUsageOID

    try:
        pem = certificate.lstrip().startswith(b"-----BEGIN")
        issued = (x509.load_pem_x509_certificate if pem else x509.load_der_x509_certificate)(certificate)
    except ValueError as error:
        raise TokenError("the certificate cannot be read") from error
    try:
        purposes = issued.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    except x509.ExtensionNotFound as error:
        raise TokenError("the certificate is not for time stamps") from error
    if ExtendedKeyUsageOID.TIME_STAMPING not in purposes:
        raise TokenError("the certificate is not for time stamps")
    attributes = signer["signed_attrs"].untag().dump()
    method = getattr(hashes, signer["digest_algorithm"]["algorithm"].native.upper())()
    signature, key = signer["signature"].native, issued.public_key()
    try:
        if isinstance(key, rsa.RSAPublicKey):
            key.verify(signature, attributes, padding.PKCS1v15(), method)
        elif isinstance(key, ec.EllipticCurvePublicKey):
            key.verify(signature, attributes, ec.ECDSA(method))
        else:
            raise TokenError("the certificate holds a kind of key that is not known here")
    except InvalidSignature as error:
        raise TokenError("its signature is not by the key of this certificate") from error


def _text(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
