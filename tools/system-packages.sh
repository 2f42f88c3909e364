#!/usr/bin/env bash
# Installs the named Debian packages that are missing; without rights it says what to install.
set -euo pipefail
missing=()
for package in "$@"; do
    state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
    [ "$state" = installed ] || missing+=("$package")
done
[ ${#missing[@]} -gt 0 ] || exit 0

if ! command -v apt-get >/dev/null; then
    echo "The tests need Chromium, pdftoppm and the DejaVu fonts (Debian names: ${missing[*]}). Install them; trying without." >&2
    exit 0
fi
as_root=()
if [ "$(id -u)" != 0 ]; then
    if ! command -v sudo >/dev/null || ! sudo -n true 2>/dev/null; then
        echo "The tests need: ${missing[*]}. Run this, then make test again:  sudo apt-get install ${missing[*]}" >&2
        exit 1
    fi
    as_root=(sudo)
fi
echo "Installing ${missing[*]} …"
install=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}")
"${install[@]}" >/dev/null 2>&1 || { "${as_root[@]}" apt-get update -qq && "${install[@]}" >/dev/null; } || {
    echo "${missing[*]} could not be installed. Install by hand and run make test again." >&2
    exit 1
}
