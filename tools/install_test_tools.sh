#!/usr/bin/env bash
# Installs what the tests need and is not there yet: chromium, its driver, and axe-core (into the target folder) for the
# browser tests, the program sqlite3 for the tests of backups.
# usage: tools/install_test_tools.sh TARGET_FOLDER
set -eu
target="$1"
root() { if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo >/dev/null; then sudo "$@"; else return 1; fi; }

wanted=()
command -v chromium >/dev/null || wanted+=(chromium)
command -v chromedriver >/dev/null || wanted+=(chromium-driver)
command -v sqlite3 >/dev/null || wanted+=(sqlite3)
if [ ! -s "$target/axe/node_modules/axe-core/axe.min.js" ] && ! command -v npm >/dev/null; then wanted+=(npm); fi
if [ "${#wanted[@]}" -gt 0 ]; then
  echo "installing ${wanted[*]}"
  if ! command -v apt-get >/dev/null || ! root env DEBIAN_FRONTEND=noninteractive sh -c \
    'apt-get update -q && apt-get install -q -y --no-install-recommends "$@"' install "${wanted[@]}"; then
    echo "The tests need: ${wanted[*]} (names of the Debian packages). They could not be installed from here; install them and run again." >&2
    exit 1
  fi
fi
if [ ! -s "$target/axe/node_modules/axe-core/axe.min.js" ]; then
  mkdir -p "$target/axe"
  npm install --prefix "$target/axe" --ignore-scripts --no-audit --no-fund --no-save axe-core@4
fi
