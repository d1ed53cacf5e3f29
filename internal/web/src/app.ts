// The one script of the program's pages: each page starts what it holds.

import { bench } from "./bench";
import { dropping } from "./drop";
import { gripPage, touchGrip } from "./grippage";
import { lessonPage } from "./lessonpage";
import { lists } from "./lists";
import { newRig } from "./newrig";
import { pegsPage } from "./pegspage";
import { rigPage } from "./rigpage";
import { complain } from "./site";
import { takePage } from "./takepage";
import { takesPage } from "./takespage";

document.querySelector(".look")?.addEventListener("click", () => {
  const root = document.documentElement;
  const dark = root.dataset["theme"] ? root.dataset["theme"] === "dark" : window.matchMedia("(prefers-color-scheme: dark)").matches;
  const look = dark ? "light" : "dark";
  root.dataset["theme"] = look;
  fetch("/look", { method: "POST", body: new URLSearchParams({ look }) }).catch(complain);
});

dropping();
lists();
if (document.querySelector("[data-bench]")) bench();
if (document.querySelector("[data-grips]")) gripPage();
if (document.querySelector("[data-lesson]")) lessonPage();
if (document.querySelector("[data-rig]")) rigPage();
if (document.querySelector("[data-newrig]")) newRig();
if (document.querySelector("[data-pegs]")) pegsPage();
if (document.querySelector("#touch-neck")) touchGrip();
const takes = document.querySelector<HTMLElement>("[data-takes]");
if (takes) takesPage(takes);
if (document.querySelector("[data-take]")) takePage();
