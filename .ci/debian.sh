# Read by the set-up scripts, not run by itself.

# Runs a command without its chatter; shows the end of that when the command fails.
quietly() {
    log=$(mktemp)
    if ! "$@" >"$log" 2>&1; then
        tail -n 30 "$log" >&2
        rm -f "$log"
        echo "This step failed: $*" >&2
        exit 1
    fi
    rm -f "$log"
}

# Installs Debian packages as root on Debian; elsewhere says in one sentence what to install, and stops.
from_debian() {
    if [ "$(id -u)" = 0 ] && [ -f /etc/debian_version ] && command -v apt-get >/dev/null; then
        echo "Installing from Debian: $*."
        quietly apt-get update -q
        quietly env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@"
    else
        new_enough=
        if [ "$1" = python3 ]; then new_enough=" (Python 3.11 or newer)"; fi
        echo "Please install what Debian calls $*$new_enough, then run this again." >&2
        exit 1
    fi
}
