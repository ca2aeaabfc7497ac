#!/bin/sh
# Runs node on tests of this folder: run.sh sheet.mjs FOLDER, run.sh --test bench/whole_lot.test.mjs
# Ends with 77 (skipped) and says why where Chromium, node 18 or the modules are not there; `npm install` in this
# folder brings the modules.
set -eu
cd "$(dirname "$0")"
skip() { echo "skipped: $1"; exit 77; }
command -v node >/dev/null || skip "no node on this machine"
[ "$(node -p 'process.versions.node.split(".")[0]')" -ge 18 ] || skip "node is older than 18"
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || skip "no Chromium on this machine"
for module in playwright-core axe-core; do
  [ -d "node_modules/$module" ] || skip "no $module here: run npm install in tests/browser"
done
exec node "$@"
