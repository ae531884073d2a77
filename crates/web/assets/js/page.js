// Entry of every page. Each page works without any of this; the scripts make it quicker and live.
import "./run-chart.js";
import "./bring-log.js";
import "./draw-photo.js";
import "./sheet.js";
import { watchForms } from "./forms.js";
import { keepPages } from "./keeps.js";
import { listen } from "./live.js";
import { followQueue } from "./queue.js";
import { showRefused } from "./refused.js";

watchForms();
// At the door there is nothing to follow: the shop speaks only to somebody who is signed in.
if (document.getElementById("saved")) {
  showRefused();
  followQueue();
  listen();
  keepPages();
}
