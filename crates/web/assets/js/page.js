// Entry of every page. Each page works without any of this; the scripts make it quicker and live.
import "./run-chart.js";
import "./bring-log.js";
import "./draw-photo.js";
import { watchForms } from "./forms.js";
import { listen } from "./live.js";

watchForms();
listen();
