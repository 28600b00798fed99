// Everything here makes a page quicker; no page needs it.
import { keepFragmentsFresh } from "./js/fragments.js";
import { sendLater } from "./js/outbox.js";
import { listenForScans } from "./js/scanner.js";
import { runClocks } from "./js/clocks.js";
import { openDialogs } from "./js/dialogs.js";
import { listenForKeys } from "./js/keys.js";
import { tickAll } from "./js/checks.js";
import { offerZone } from "./js/zone.js";

keepFragmentsFresh();
sendLater();
listenForScans();
runClocks();
openDialogs();
listenForKeys();
offerZone();
tickAll();
