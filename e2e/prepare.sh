#!/usr/bin/env bash
# Installs what the browser tests need and is missing: a Chromium with its driver, axe-core (which
# looks for barriers in a page), and a checker of HTML. A second run finds all and does nothing.
#
# The checker is the Nu Html Checker: the standard's own, strict (it reads every attribute's grammar and
# the SVG in a page), and one jar that never asks the network. It needs Java, which is installed too.
set -euo pipefail
cd "$(dirname "$0")/.."
home="${CARGO_TARGET_DIR:-target}/e2e"
mkdir -p "$home"

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v chromedriver >/dev/null || missing+=(chromium-driver)
command -v java >/dev/null || missing+=(default-jre-headless)
command -v npm >/dev/null || missing+=(npm)
if [ "${#missing[@]}" -gt 0 ]; then
  if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
    echo "The browser tests need: ${missing[*]} (these are the names of Debian's packages)."
    exit 1
  fi
  export DEBIAN_FRONTEND=noninteractive
  log="$home/install.log"
  if ! { apt-get update -qq && apt-get install -y -qq --no-install-recommends "${missing[@]}"; } \
    > "$log" 2>&1; then
    tail -n 5 "$log"
    echo "The browser tests need: ${missing[*]}; installing them failed."
    exit 1
  fi
fi

# The packages are as they should be when the list that they were installed from is this one.
if ! cmp -s e2e/package.json "$home/package.json" || [ ! -f "$home/node_modules/.installed" ]; then
  rm -rf "$home/node_modules"
  cp e2e/package.json "$home/package.json"
  # Their scripts of installation would fetch more; no lock file, since it would hold addresses.
  npm install --prefix "$home" --ignore-scripts --no-package-lock --no-audit --no-fund --silent
  touch "$home/node_modules/.installed"
fi
