// The page works without this file, but for counting waits down. What is here makes it quicker: ticks go without a
// reload and are kept while the server cannot be reached, and what others tick appears by itself.
import { listen } from "./live.js";
import { takeForms, flush } from "./forms.js";
import { countDown } from "./waits.js";
import { takeKeys } from "./keys.js";
import { refresh } from "./refresh.js";

takeForms();
takeKeys();
countDown();
listen({ changed: () => refresh(), back: () => { flush(); refresh(); } });
navigator.serviceWorker?.register("/keeper.js").catch(() => { /* not here: a reload then needs the bench */ });
