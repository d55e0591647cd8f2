"""Batteries and banks of the written installation -> terminals, blocks and the links between them."""

from __future__ import annotations

from lugbook.load.expand import Expansion, exact, si
from lugbook.model import network as net
from lugbook.model.apparatus import LITHIUM, Battery
from lugbook.model.defaults import Pair
from lugbook.model.problem import Path


def battery_terminals(battery: Battery, build: Expansion, path: Path) -> None:
    """Declare the posts of a bank, and the joints between blocks in series."""
    many, name, title = battery.parallel > 1, battery.id, battery.title or battery.id
    posts = [f"pos-{k + 1}" for k in range(battery.parallel)] if many else []
    posts += [f"neg-{k + 1}" for k in range(battery.parallel)] if many else []
    joints = [joint for s in _strings(battery) for k in range(1, battery.series) for joint in _joint(s, k)]
    for key in battery.studs:
        if key not in ("pos", "neg"):
            build.document.report(
                (*path, "studs", key),
                "P602",
                f"'{name}' has no terminal '{key}'",
                "write 'studs: {pos: M8, neg: M8}'; a battery has these two",
                on_key=True,
            )
    for post in (*posts, *joints):
        side = "neg" if post.startswith("neg") or post.endswith("up") else "pos"
        build.terminal(f"{name}.{post}", name, f"{title}, {post}", path, battery.studs.get(side))
    if battery.string_device is not None:
        for s in _strings(battery):
            build.terminal(f"{name}.top{s}", name, f"{title}, top{s}", path, battery.studs.get("pos"))
    last = "1" if battery.take_off == "one end" else str(battery.parallel)
    for side, number in (("pos", "1"), ("neg", last)):
        own = f"{name}.{side}"
        if many and battery.take_off != "bus bars":
            build.alias(own, f"{own}-{number}", path)
            target = getattr(battery, side)
            if target is not None:
                build.document.report(
                    (*path, side),
                    "P619",
                    f"a bank of blocks side by side cannot sit on '{target}' directly",
                    "join its end post to that node under 'joins'",
                )
        elif getattr(battery, side) is not None:
            build.alias(own, getattr(battery, side), (*path, side))
        else:
            build.terminal(own, name, f"{title}, {side}", path, battery.studs.get(side))


def _strings(battery: Battery) -> list[str]:
    """The endings that name the strings: one nameless string, or -1, -2 and so on."""
    return [""] if battery.parallel == 1 else [f"-{s + 1}" for s in range(battery.parallel)]


def _joint(string: str, k: int) -> tuple[str, str]:
    """The two posts above block k: the lower block's positive, and the next block's negative."""
    lower = f"{k}{string}"
    return lower, f"{lower}-up"


def battery_edges(battery: Battery, build: Expansion, path: Path) -> None:
    """Add the blocks of a bank, their links and the fuses of its strings."""
    name, title = battery.id, battery.title or battery.id
    volts = battery.volts.value if battery.volts else build.installation.system.value / battery.series
    strings = _strings(battery)
    for s in strings:
        bottom = f"{name}.neg{s}"
        top = f"{name}.pos{s}" if battery.string_device is None else f"{name}.top{s}"
        for k in range(1, battery.series + 1):
            upper = top if k == battery.series else f"{name}.{_joint(s, k)[0]}"
            single = battery.series == 1 and len(strings) == 1
            number = "".join(["" if battery.series == 1 else f"-{k}", s])
            nodes = build.ends(upper, bottom, (*path, "pos"), (*path, "neg"), f"'{name}'")
            if nodes is not None:
                label = title if single else f"{title}, block {number.removeprefix('-')}"
                build.add(
                    _block(
                        battery,
                        name if single else f"{name}.block{number}",
                        nodes,
                        label,
                        s,
                        volts,
                        build,
                        path,
                    )
                )
            if k < battery.series:
                lower, upper_neg = (f"{name}.{joint}" for joint in _joint(s, k))
                _link(battery, f"{name}.link{number}", lower, upper_neg, build, path)
                bottom = upper_neg
        if battery.string_device is not None:
            device = build.device(battery.string_device, f"{name}.fuse{s}", (*path, "string_device"))
            nodes = build.ends(top, f"{name}.pos{s}", path, path, f"'{device.id}'")
            if nodes is not None:
                build.add(net.Inline(device.id, *nodes, device.title, device, (*path, "string_device")))
    for side in ("pos", "neg"):
        for k in range(1, battery.parallel):
            if battery.take_off != "bus bars":
                _link(
                    battery,
                    f"{name}.link-{side}-{k}",
                    f"{name}.{side}-{k}",
                    f"{name}.{side}-{k + 1}",
                    build,
                    path,
                )
        if battery.parallel > 1 and battery.take_off == "bus bars":
            for s in strings:
                _link(battery, f"{name}.link-{side}{s}", f"{name}.{side}", f"{name}.{side}{s}", build, path)


def _link(battery: Battery, name: str, a: str, b: str, build: Expansion, path: Path) -> None:
    nodes = build.ends(a, b, path, path, f"'{name}'")
    if nodes is None:
        return
    if battery.link is None:
        build.add(net.Join(name, *nodes, name, build.assume("link", name, path), path))
    else:
        build.run(battery.link, name, nodes, (*path, "link"), "link", exact(battery.link.length.value))


def _emf(battery: Battery, volts: float, name: str, build: Expansion, path: Path) -> Pair | None:
    if battery.chemistry == "lifepo4":
        return build.assume("lithium-emf", name, path, round(volts / 3.2) / 4)
    if battery.chemistry == "other lithium":
        return None
    default = "emf" if battery.chemistry == "not known" else "lead-emf"
    return build.assume(default, name, path, round(volts / 2) / 6)


def _block(
    battery: Battery,
    name: str,
    nodes: tuple[str, str],
    title: str,
    string: str,
    volts: float,
    build: Expansion,
    path: Path,
) -> net.Battery:
    if battery.lithium is not None and battery.chemistry not in LITHIUM:
        build.document.report(
            (*path, "lithium"), "P619", f"'{battery.id}' is not a lithium battery", "correct 'chemistry'"
        )
    lithium = battery.lithium
    return net.Battery(
        id=name,
        a=nodes[0],
        b=nodes[1],
        title=title,
        bank=battery.id,
        string=int(string.removeprefix("-") or 1),
        chemistry=battery.chemistry,
        volts=volts,
        emf=_emf(battery, volts, name, build, path),
        capacity=si(battery.capacity),
        capacity_at=si(battery.capacity_at),
        cca=si(battery.cca),
        cca_standard=battery.cca_standard,
        resistance=si(battery.resistance),
        short_circuit=si(battery.short_circuit),
        cell_short_circuit=si(lithium.cell_short_circuit) if lithium else None,
        bms=(lithium.switches if lithium else "not known") if battery.chemistry in LITHIUM else None,
        bms_limit=si(lithium.limit) if lithium else None,
        charge_disconnect=lithium.charge_disconnect if lithium else None,
        low_temperature=lithium.low_temperature if lithium else None,
        starts=battery.starts,
        year=battery.year,
        path=path,
        enclosed=battery.enclosed,
        vent=si(battery.vent),
        bank_title=battery.title or battery.id,
    )
