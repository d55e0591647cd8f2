"""The sixteen scenes, by picture name."""

from __future__ import annotations

from collections.abc import Callable

import scenes_bilge
import scenes_ends
import scenes_locker
import scenes_panel

SCENES: dict[str, Callable[[], None]] = {
    "battery-bank": scenes_locker.battery_bank,
    "no-fuse": scenes_locker.no_fuse,
    "chafe": scenes_ends.chafe,
    "lug-hole": scenes_ends.lug_hole,
    "two-under-screw": scenes_ends.two_under_screw,
    "solder-tip": scenes_ends.solder_tip,
    "strip-fuse": scenes_locker.strip_fuse,
    "stacked-lugs": scenes_ends.stacked_lugs,
    "battery-switch": scenes_panel.battery_switch,
    "sagging-run": scenes_panel.sagging_run,
    "bilge-joint": scenes_bilge.bilge_joint,
    "shore-inlet": scenes_bilge.shore_inlet,
    "spanner": scenes_locker.spanner,
    "glass-fuse": scenes_ends.glass_fuse,
    "blade-fuse": scenes_locker.blade_fuse,
    "panel-back": scenes_panel.panel_back,
}
