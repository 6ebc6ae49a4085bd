# The virtual environment of the project, for ./service/start and ./tests/run (sourced by sh).
#
# make_venv ROOT EXTRA   leaves ROOT/.venv ready to use, with the project installed from ROOT.
#   EXTRA is "" or "test". Tells each step on standard error, nothing when all is ready.
#   Returns 1 when it can't, and says why; the next call tries again.
#
# .venv/installed says what is in it; .venv/installing stands while pip works, so that a venv
# that was cut off in the middle is known and made anew.

say() {
    printf '%s\n' "$*" >&2
}

is_new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11; do
        if command -v "$name" >/dev/null 2>&1 && is_new_enough "$name"; then
            command -v "$name"
            return 0
        fi
    done
    return 1
}

say_no_python() {
    if old=$(command -v python3); then
        say "Python 3.11 or newer is needed; $old is $("$old" --version 2>&1)."
    else
        say "Python 3.11 or newer is needed, and there is no python3 here."
    fi
    say "On Debian 12 or newer: sudo apt-get install python3 python3-venv"
}

# All that an installation hangs on. With the path, because scripts in a venv hold it.
stamp() {
    cksum <"$1/pyproject.toml"
    printf '%s\nextra: %s\n' "$1" "$2"
    "$1/.venv/bin/python" --version 2>&1
}

# The test extra holds all that the plain one does: a start after a test run installs nothing.
is_ready() {
    [ -x "$1/.venv/bin/clutchweather" ] && [ -r "$1/.venv/installed" ] || return 1
    found=$(cat "$1/.venv/installed")
    [ "$found" = "$(stamp "$1" "$2")" ] || [ "$found" = "$(stamp "$1" test)" ]
}

is_sound() {
    [ ! -e "$1/.venv/installing" ] &&
        is_new_enough "$1/.venv/bin/python" &&
        "$1/.venv/bin/python" -m pip --version >/dev/null 2>&1 &&
        grep -q -F "$1/.venv/bin/" "$1/.venv/bin/pip"
}

create() {
    python=$(find_python) || {
        say_no_python
        return 1
    }
    if ! "$python" -c 'import venv, ensurepip' >/dev/null 2>&1; then
        say "The venv module of Python is missing ($python)."
        say "On Debian: sudo apt-get install python3-venv"
        return 1
    fi
    say "Making the virtual environment $1/.venv with $("$python" --version 2>&1) ..."
    "$python" -m venv --clear "$1/.venv" >&2 || {
        say "The virtual environment $1/.venv could not be made; the reason is above."
        return 1
    }
}

# A line every few seconds, so that nobody takes a slow network for a standstill.
tell_progress() {
    seconds=0
    while sleep 5 >/dev/null 2>&1 && kill -0 $$ 2>/dev/null; do
        seconds=$((seconds + 5))
        step=$(sed -n 's/^ *\(Collecting [^ <>=;!~]*\).*/\1/p; s/^Installing collected.*/Installing/p' "$1" | tail -n 1)
        say "  $seconds s  ${step:-getting ready}"
    done
}

pip_install() {
    : >"$1/.venv/installing"
    tell_progress "$1/.venv/install.log" 9>&- &
    ticker=$!
    "$1/.venv/bin/python" -m pip install --disable-pip-version-check --no-input \
        -e "$2" >"$1/.venv/install.log" 2>&1
    status=$?
    kill "$ticker" 2>/dev/null
    # pip came to an end of its own, good or bad: what it left can be built upon.
    rm -f "$1/.venv/installing"
    return $status
}

install_project() {
    say "Installing what the project needs; the first time this takes some minutes ..."
    if ! pip_install "$1" "$1${2:+[$2]}"; then
        tail -n 15 "$1/.venv/install.log" >&2
        say "Installing failed; the reason is above, all of it in $1/.venv/install.log."
        say "Needed are a network and some room on the disk. Then start again."
        return 1
    fi
    stamp "$1" "$2" >"$1/.venv/installed"
    say "Installed."
}

make_venv_alone() {
    is_ready "$1" "$2" && return 0
    rm -f "$1/.venv/installed"
    is_sound "$1" || create "$1" || return 1
    install_project "$1" "$2"
}

# One at a time; the lock is on the folder itself. It ends with the processes that hold it, pip
# among them: a start that was killed blocks nobody for ever.
make_venv() {
    is_ready "$1" "$2" && return 0
    if [ ! -w "$1" ]; then
        say "$1 is not writable for $(id -un): no virtual environment can be made in it."
        return 1
    fi
    (
        flock -n 9 || {
            say "Another start is installing; waiting for it ..."
            flock 9
        }
        make_venv_alone "$1" "$2"
    ) 9<"$1"
}
