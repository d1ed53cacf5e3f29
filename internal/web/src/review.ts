// The page of one review, which a student opens from disk.

import { need } from "./dom";
import { TakeView } from "./takeview";

new TakeView(need<HTMLElement>(".take-view"));
