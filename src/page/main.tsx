// SPDX-License-Identifier: Apache-2.0
import "./style/base.css";
import "./style/start.css";
import "./style/forms.css";
import "./style/answer.css";
import "./style/drawing.css";
import "./style/narrow.css";
import "./style/print.css";
import { EngineClient } from "./engine/client";
import { t } from "./text";
import { start } from "./view/app";

if (typeof WebAssembly === "object" && typeof DecompressionStream === "function") {
  start(new EngineClient());
} else {
  const root = document.getElementById("page");
  if (root) root.textContent = t.broken;
}
