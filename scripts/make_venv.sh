#!/bin/sh
# Make the virtual environment named by $1, with pip in it, on a machine that may have no more than Python.
set -eu

venv=$1

find_python() {
    for name in python3.11 python3.12 python3.13 python3; do
        # Some version managers leave a name on the path with nothing behind it: ask, don't assume.
        if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$name"
            return
        fi
    done
    echo "Spadework needs Python 3.11 or newer, and none was found. On Debian or Ubuntu: apt-get install python3.11" >&2
    return 1
}

try_venv() {
    rm -rf "$venv"
    "$python" -m venv "$venv" >/dev/null 2>&1 && "$venv/bin/python" -m pip --version >/dev/null 2>&1
}

# Debian ships the part of venv that brings pip (ensurepip) as a package of its own.
install_venv_package() {
    package=$("$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')
    if ! command -v apt-get >/dev/null 2>&1; then
        return 1
    elif [ "$(id -u)" = 0 ]; then
        as_root=""
    elif sudo -n true 2>/dev/null; then
        as_root="sudo -n"
    else
        return 1
    fi
    echo "Python's venv module cannot bring pip here; installing $package."
    $as_root apt-get update -qq || echo "apt-get update failed; going on with the lists at hand." >&2
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$package" >/dev/null
}

python=$(find_python)
if ! try_venv; then
    if ! install_venv_package || ! try_venv; then
        rm -rf "$venv"
        {
            echo "$python cannot make a virtual environment: its venv or ensurepip module is missing."
            echo "On Debian or Ubuntu, ask an administrator for:"
            "$python" -c 'import sys; print("    apt-get install python%d.%d-venv" % sys.version_info[:2])'
            echo "and run make again."
        } >&2
        exit 1
    fi
fi
echo "Made $venv with $("$venv/bin/python" --version)."
