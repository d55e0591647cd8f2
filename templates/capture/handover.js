// Handing a file over: as a download, or through the phone's own way of sharing where the page was told to.

import { el, w } from "./base.js";
import { ask } from "./view.js";

export async function handOver(blob, name) {
  const address = URL.createObjectURL(blob);
  const link = el("a", { href: address, download: name, "data-act": "download" }, name);
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 600000); // a large file takes its time to be written
  const file = new File([blob], name, { type: blob.type });
  if (!navigator.canShare?.({ files: [file] })) return;
  const share = await ask(w("capture.ui.share"), el("p", {}, w("capture.ui.share_why", { name })), [["share", w("capture.ui.share"), true], ["no-share", w("capture.ui.done"), false]]);
  if (share) await navigator.share({ files: [file], title: name }).catch(() => {});
}
