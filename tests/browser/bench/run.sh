#!/bin/sh
# Runs the browser tests of the bench page: tests/browser/bench/run.sh [FILE...]
# Needs node, npm and Debian's chromium; says so and ends well where they are not there.
set -eu
cd "$(dirname "$0")"
for need in node npm; do
  command -v "$need" >/dev/null || { echo "skipped: $need is not here"; exit 0; }
done
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || { echo "skipped: chromium is not here"; exit 0; }
if [ ! -d node_modules/playwright-core ]; then
  npm install --no-package-lock --no-audit --no-fund
  echo '*' > node_modules/.gitignore
fi
[ $# -gt 0 ] || set -- *.test.mjs
exec node --test --test-concurrency=1 "$@"
