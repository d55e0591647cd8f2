"""Enters findings through the controls of the capture page, whatever they are.

It knows kinds of controls, not places: a control is found by the path of its value (`data-field`), and what is folded
away around it is unfolded first. What has no control, or a list without the wanted choice, is noted in `lacking`.
"""

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

Tree = dict[str, Any]
Path_ = tuple[str | int, ...]

# Opens what is folded around a path, one fold at a time; tells whether something was opened.
UNFOLD = r"""(steps) => {
  for (let n = 1; n <= steps.length; n += 1) {
    const path = CSS.escape(steps.slice(0, n).join('.'));
    for (const kind of ['entry', 'part', 'more']) {
      const fold = document.querySelector(`details[data-${kind}="${path}"]:not([open])`);
      if (fold) { fold.querySelector('summary').click(); return true; }
    }
  }
  const card = steps[0].startsWith('results/') && document.querySelector(`[data-item-card="${CSS.escape(steps[0].slice(8))}"]`);
  const view = document.getElementById('main').dataset.view;
  const around = card || (/^(defect|reading)\//.test(view) ? document.getElementById('main') : null);
  if (!around) return false;
  const toggle = card && !card.querySelector('.answers') && card.querySelector('[data-act="toggle"]');
  if (toggle) { toggle.click(); return true; }
  const fold = around.querySelector('details:not([open]):not(.help)');
  if (fold) { fold.querySelector('summary').click(); return true; }
  return false;
}"""
# What stands for a path: the kind of control.
KIND = """(path) => {
  const at = CSS.escape(path);
  const found = [...document.querySelectorAll(`[data-field="${at}"]`)].filter((one) => one.type !== 'file');
  if (!found.length) return document.querySelector(`[data-tuple="${at}"]`) ? 'tuple' : document.querySelector(`[data-act="add"][data-for="${at}"]`) ? 'list' : '';
  const one = found[0];
  if (one.tagName === 'BUTTON') return 'buttons';
  if (one.tagName === 'SELECT') return 'select';
  const unit = document.querySelector(`[data-field="${CSS.escape(path + ':unit')}"]`) || one.parentElement.querySelector('.unit');
  return unit ? 'quantity' : 'text';
}"""
SELECT = """([path, value]) => {
  const one = document.querySelector(`select[data-field="${CSS.escape(path)}"]`);
  if (![...one.options].some((option) => option.value === value)) return false;
  one.value = value;
  one.dispatchEvent(new Event('change', { bubbles: true }));
  return true;
}"""
PRESS = """([path, value]) => {
  const one = document.querySelector(`button[data-field="${CSS.escape(path)}"][data-value="${CSS.escape(value)}"]`);
  if (!one) return false;
  if (one.getAttribute('aria-pressed') !== 'true') one.click();
  return true;
}"""
# As a keyboard leaves it: the value, an event for typing and one for leaving the field.
TYPE = """([path, value]) => {
  const one = document.querySelector(`[data-field="${CSS.escape(path)}"]`);
  one.focus();
  one.value = value;
  one.dispatchEvent(new InputEvent('input', { bubbles: true }));
  one.dispatchEvent(new Event('change', { bubbles: true }));
  return one.value;
}"""
ADD = """(path) => document.querySelector(`[data-act="add"][data-for="${CSS.escape(path)}"]`)?.click() ?? null"""


class Driver:
    """A page, where it stands, and what could not be entered into it.

    `before` is called before each single entry with its path and text; it may kill the browser and put another page
    in place of this one. It tells whether the entry has been made already.
    """

    def __init__(self, page: Any, photos: Path) -> None:
        self.page, self.photos = page, photos
        self.view: tuple[str, ...] = ()
        self.lacking: list[str] = []
        self.entered = 0
        self.defects: dict[str, str] = {}
        self.before: Callable[[str, str], bool] = lambda *_told: False

    # --- where the page stands ---

    def go(self, *steps: str) -> None:
        """Open a view by its address."""
        self.view = steps
        self.page.evaluate(
            "(steps) => { location.hash = '#' + steps.map(encodeURIComponent).join('/'); }", list(steps)
        )
        self.wait("(v) => document.getElementById('main').dataset.view === v", "/".join(steps))

    def came_to(self) -> None:
        """Note the view that a tap led to."""
        self.view = tuple(str(self.page.evaluate("document.getElementById('main').dataset.view")).split("/"))

    def settled(self) -> None:
        """Wait until nothing is left to be stored."""
        self.wait("() => document.documentElement.dataset.pending !== '1'")

    def wait(self, condition: str, argument: Any = None, seconds: float = 20) -> None:
        """Wait until a function of the page says yes. The page's policy forbids the browser tool's own way."""
        deadline = time.monotonic() + seconds
        while not self.page.evaluate(condition, argument):
            if time.monotonic() > deadline:
                raise TimeoutError(f"{condition} {argument}")
            time.sleep(0.004)

    def tap(self, selector: str) -> bool:
        """Tap a button; tells whether it is there."""
        found = self.page.evaluate(
            "(s) => { const b = document.querySelector(s); b?.click(); return Boolean(b); }", selector
        )
        return bool(found)

    # --- a whole visit ---

    def visit(self, tree: Tree) -> None:
        """Enter findings from the first tap to the last."""
        report = tree["report"]
        self.page.locator('[data-field="new.number"]').fill(report["number"])
        self.page.locator('[data-act="new-job"]').tap()
        self.wait("() => document.getElementById('main').dataset.view === 'boat'")
        self.came_to()
        self.put(
            ("report",), {key: value for key, value in report.items() if key not in ("number", "checklists")}
        )
        self._installation(tree.get("installation") or {})
        for number, reading in enumerate(tree.get("readings") or ()):
            self.reading(number, reading)
        if tree.get("shore"):
            self.go("readings")
            self.put(("shore",), tree["shore"])
        for entry in tree.get("results") or ():
            if entry.get("result"):
                self.result(entry)
        for number, defect in enumerate(tree.get("extra") or ()):
            self.go("extra")
            self.tap('[data-act="add-extra"]')
            self.defect(("extra", number), defect)
        for entry in tree.get("results") or ():
            if entry.get("see"):
                self.go("walk", str(self._group(entry["item"])))
                self.put((f"results/{entry['item']}", "see"), [self.defects[name] for name in entry["see"]])
        if tree.get("disagree"):
            self.go("installation")
            self.put(("disagree",), tree["disagree"])
        self.settled()

    def _installation(self, tree: Tree) -> None:
        self.go("installation")
        later = ("earthing", "ambient", "conductors", "joins", "circuits", "bonds", "states")
        self.put(("installation",), {key: value for key, value in tree.items() if key not in later})
        self.go("more")  # drawn anew, with the terminals that there are now
        self.go("installation")
        self.put(("installation",), {key: tree[key] for key in later if key in tree})

    def reading(self, number: int, reading: Tree) -> None:
        """A reading, from the button of its quantity on."""
        self.go("readings")
        if not self.tap(f'[data-act="add-reading"][data-value="{reading["quantity"]}"]'):
            self.lacking.append(f"readings.{number} (no button): {reading['quantity']}")
            return
        self.go("reading", str(number))
        self.put(("readings", number), {key: value for key, value in reading.items() if key != "quantity"})

    def _group(self, item: str) -> int:
        return int(
            self.page.evaluate(
                "(id) => JSON.parse(document.getElementById('data').textContent).groups"
                ".findIndex((g) => g.items.some((i) => i.id === id))",
                item,
            )
        )

    def result(self, entry: Tree) -> None:
        """An answer in one tap where there is a button for it, and all that belongs to it."""
        item, path = entry["item"], (f"results/{entry['item']}",)
        home = ("walk", str(self._group(item)))
        self.go(*home)
        self.before(f"results/{item}.result", entry["result"])
        self._answer(item, entry["result"], entry.get("extent") or "")
        for number, defect in enumerate(entry.get("defects") or ()):
            if number:
                self.go(*home)
                self.tap(f'[data-act="add-defect"][data-item="{item}"]')
            self.defect((*path, "defects", number), defect)
        self.go(*home)
        rest = {key: entry[key] for key in ("reason", "note", "told", "readings") if key in entry}
        self.put(path, rest)
        self.photo_list((*path, "photos"), entry.get("photos") or [])

    def _answer(self, item: str, word: str, extent: str) -> None:
        self.entered += 1
        card = f'[data-item="{item}"]'
        if not self.page.locator(f"{card}[data-result]").count():  # it was answered, and folded
            self.tap(f'{card}[data-act="toggle"]')
        if self.tap(f'{card}[data-result="{word}"][data-extent="{extent}"]'):
            return
        look, _, test = extent.partition(", ")
        first = "sample 1 of 1" if look.startswith("sample") else look or "whole"
        taps = [f'[data-result="{word}"][data-extent="{first}"]', f'[data-result="{word}"]']
        if not any(self.tap(f"{card}{one}") for one in taps):
            self.lacking.append(f"results/{item} (no button): {word}, {extent}")
            return
        self.go("walk", str(self._group(item)))
        if look.startswith("sample"):
            self.tap(f'{card}[data-act="look"][data-value="sample"]')
            _, seen, _, of = look.split()
            for which, value in (("seen", seen), ("of", of)):
                self.page.locator(f'{card}[data-sample="{which}"]').fill(value)
        elif look:
            self.tap(f'{card}[data-act="look"][data-value="{look}"]')
        if (
            test
            and not self.page.locator(
                f'{card}[data-act="test"][data-value="{test}"][aria-pressed="true"]'
            ).count()
        ):
            self.tap(f'{card}[data-act="test"][data-value="{test}"]')

    def defect(self, path: Path_, defect: Tree) -> None:
        """A defect in its own view."""
        self.defects[defect["id"]] = f"d{len(self.defects) + 1}"
        self.go("defect", *map(str, path))
        given = {key: value for key, value in defect.items() if key not in ("id", "photos")}
        self.put(path, given)
        self.photo_list((*path, "photos"), defect.get("photos") or [])

    # --- single entries ---

    def put(self, path: Path_, value: Any) -> None:
        """Enter a value of any shape at a path."""
        if value is None or value in ([], {}):
            return
        if isinstance(value, dict):
            for key, inner in value.items():
                self.put((*path, key), inner)
        elif isinstance(value, list):
            self._list(path, value)
        else:
            self._scalar(path, str(value))

    def kind_at(self, path: Path_) -> str:
        """The kind of control at a path, after what is folded around it was unfolded; empty if there is none."""
        steps = [str(step) for step in path]
        kind = str(self.page.evaluate(KIND, ".".join(steps)))
        for _ in range(30):
            if kind or not self.page.evaluate(UNFOLD, steps):
                break
            self.page.wait_for_timeout(1)  # a fold fills itself when its event comes
            kind = str(self.page.evaluate(KIND, ".".join(steps)))
        return kind

    def _scalar(self, path: Path_, value: str) -> None:
        name = ".".join(map(str, path))
        self.kind_at(path)
        self.before(name, value)
        kind = self.kind_at(path)
        done = False
        if kind == "buttons":
            done = self.page.evaluate(PRESS, [name, value])
        elif kind == "select":
            done = self.page.evaluate(SELECT, [name, value])
        elif kind == "quantity":
            done = self._quantity(name, value)
        elif kind == "text":
            done = self.page.evaluate(TYPE, [name, value]) in (value, value.replace("\n", " "))
        self.entered += 1
        if not done:
            self.lacking.append(f"{name} ({kind or 'no control'}): {value[:60]}")

    def _quantity(self, name: str, value: str) -> bool:
        bound, rest = (value[0], value[1:].strip()) if value[0] in "<>" else ("", value)
        number, _, unit = rest.partition(" ")
        self.page.evaluate(TYPE, [name, number])
        done = not bound or self.page.evaluate(PRESS, [f"{name}:bound", bound])
        several = self.page.evaluate(
            '(p) => document.querySelector(`[data-field="${CSS.escape(p)}"]`) !== null', f"{name}:unit"
        )
        return bool(done and (not several or self.page.evaluate(PRESS, [f"{name}:unit", unit])))

    def _list(self, path: Path_, values: list[Any]) -> None:
        name = ".".join(map(str, path))
        if path[-1] == "photos":
            self.photo_list(path, values)
            return
        kind = self.kind_at(path)
        if kind == "buttons":
            for value in values:
                self._scalar(path, value)
        elif kind == "tuple":
            for number, value in enumerate(values):
                self.put((*path, number), value)
        elif kind == "list":
            for number, value in enumerate(values):
                self.before(f"{name}.{number}", "")
                self.kind_at(path)
                self.page.evaluate(ADD, name)
                self.put((*path, number), value)
                self.tap(
                    f'details[data-entry="{name}.{number}"][open] > summary'
                )  # as one does on a small screen
        else:
            self.lacking.append(f"{name} (no control): {json.dumps(values)[:60]}")

    def photo_list(self, path: Path_, photos: list[Tree]) -> None:
        """Choose each photo, say what it shows, and mark it."""
        for number, photo in enumerate(photos):
            self.photo((*path, number), photo)

    def photo(self, path: Path_, photo: Tree) -> None:
        """One photo of a list."""
        at = ".".join(map(str, path))
        self.kind_at((*path[:-1], "photos"))
        if not self.before(at, photo["file"]) and not self.choose(at, photo["file"]):
            self.lacking.append(f"{at} (no control): {photo['file']}")
            return
        wanted = '(p) => document.querySelector(`[data-field="${CSS.escape(p)}"]`)'
        self.kind_at((*path, "caption"))
        self.wait(wanted, f"{at}.caption")
        self.entered += 1
        self.put(path, {key: value for key, value in photo.items() if key in ("caption", "alt", "private")})
        if photo.get("marks"):
            home = self.view
            self.go("mark", *map(str, path))
            for number, mark in enumerate(photo["marks"]):
                self.mark((*path, "marks", number), mark)
            self.go(*home)

    def choose(self, at: str, file: str) -> bool:
        """Choose a file for a list of photos, as from the album; tells whether there is a control for it."""
        name = at.rpartition(".")[0]
        self.kind_at((*name.split("."), "0", "caption"))
        box = self.page.locator(f'input[data-field="{name}"][data-photo="album"]')
        if box.count():
            box.first.set_input_files(self.photos / file)
        return bool(box.count())

    def mark(self, path: Path_, mark: Tree) -> None:
        """One mark, drawn with a finger."""
        if not self.tap(f'[data-act="tool"][data-value="{mark["mark"]}"]'):
            self.lacking.append(f"{'.'.join(map(str, path))} (no tool): {mark['mark']}")
            return
        image = self.page.locator(".board img")
        image.scroll_into_view_if_needed()
        self.wait("() => document.querySelector('.board img')?.naturalWidth > 0")
        edge = image.bounding_box()

        def place(point: list[str]) -> tuple[float, float]:
            return (edge["x"] + float(point[0]) * edge["width"], edge["y"] + float(point[1]) * edge["height"])

        points = [place(point) for point in mark.get("points") or [mark["at"]]]
        if mark["mark"] == "ring":
            radius = float(mark["size"]) * min(edge["width"], edge["height"]) / 2
            points.append((points[0][0], points[0][1] + radius))
        elif "to" in mark:
            points.append(place(mark["to"]))
        mouse = self.page.mouse
        mouse.move(*points[0])
        mouse.down()
        for point in points[1:]:
            mouse.move(*point)
        mouse.up()
        self.entered += 1
        if "text" in mark:
            self.put((*path, "text"), mark["text"])
