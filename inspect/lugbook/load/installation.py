"""The installation of a job: written form -> Network, with every fault on the document."""

from __future__ import annotations

from types import MappingProxyType
from typing import TypeVar

from lugbook.load import expand, expand_elements, expand_terminals, netcheck, states
from lugbook.load.expand import Expansion
from lugbook.load.faults import nearest
from lugbook.load.tree import Document
from lugbook.model.installation import Installation
from lugbook.model.network import Network
from lugbook.model.problem import Path

V = TypeVar("V")


def load_installation(
    installation: Installation, document: Document, where: Path = ("installation",)
) -> Network | None:
    """Expand the installation that stands at `where` in the document.

    Every fault is reported on the document; None if any of them is an error. Warnings leave a Network.
    """
    before = _errors(document)
    build = Expansion(installation, document, where)
    expand.claim_all(build)
    expand_terminals.terminals(build)
    expand_elements.elements(build)
    expand.conductors(build)
    expand_elements.coils(build)
    expand_elements.sources(build)
    _prune(build)
    states.check_interlocks(build)
    named = states.named_states(build)
    if _errors(document) > before:
        return None
    reachable, complete = states.reachable_states(build)
    earthed_at = _earthing(build)
    touching: dict[str, list[str]] = {}
    for name in sorted(build.edges):
        for node in (build.edges[name].a, build.edges[name].b):
            touching.setdefault(node, []).append(name)
    network = Network(
        system=installation.system.value,
        earthing=installation.earthing.kind,
        earthed_at=earthed_at,
        nodes=_sorted(build.nodes),
        edges=_sorted(build.edges),
        converters=_sorted(build.converters),
        switches=_sorted(build.switches),
        states=named,
        reachable=reachable,
        complete=complete,
        assumptions=tuple(sorted(build.assumptions, key=lambda a: (a.subject, a.default.name))),
        aliases=_sorted({name: build.resolve(name, path) or "" for name, (_, path) in build.aliases.items()}),
        touching=_sorted({node: tuple(edges) for node, edges in touching.items()}),
    )
    netcheck.check(network, document)
    return None if _errors(document) > before else network


def _sorted(found: dict[str, V]) -> MappingProxyType[str, V]:
    return MappingProxyType({key: found[key] for key in sorted(found)})


def _errors(document: Document) -> int:
    return sum(problem.severity == "error" for problem in document.problems)


def _prune(build: Expansion) -> None:
    """Drop terminals that exist only if something goes to them."""
    for name in build.optional - build.touched:
        del build.nodes[name]


def _earthing(build: Expansion) -> str | None:
    earthing = build.installation.earthing
    path = (*build.where, "earthing", "at")
    if earthing.at is None:
        return None
    if earthing.kind == "insulated":
        build.document.report(
            path, "P619", "an insulated installation is earthed nowhere", "delete 'at', or correct 'kind'"
        )
    node = build.resolve(earthing.at, path)
    if node is not None and build.nodes[node].kind != "body":
        bodies = sorted(name for name, entry in build.nodes.items() if entry.kind == "body")
        build.document.report(
            path,
            "P619",
            f"'{node}' is no body",
            nearest(node, bodies) or f"bodies: {', '.join(bodies) or 'none'}",
        )
    return node
