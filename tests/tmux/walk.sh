#!/usr/bin/env bash
# Walks the short tree in a real tmux at three sizes: caution, reading with unit, verdict, back, cannot, finding, repair,
# re-measure, report; killed in the middle and resumed. Prints what it saw last when something is missing.
#
# usage: tests/tmux/walk.sh PATH_TO_faultwalk
set -eu

program=$(realpath "${1:?expected the path of the program}")
trees=$(realpath "$(dirname "$0")/../../fixtures/trees/short-walk")
work=$(mktemp -d)
socket="faultwalk-walk-$$"
servers=0
trap 'tmux -L "$socket" kill-server 2>/dev/null || true; rm -rf "$work"' EXIT

screen() { tmux -L "$socket" capture-pane -p -t walk; }

# Waits until the screen holds the words, line breaks aside.
sees() {
    for _ in $(seq 1 200); do
        if screen | tr -s '\n ' ' ' | grep -qF -- "$1"; then return 0; fi
        sleep 0.05
    done
    echo "at $size: waited for '$1', found:" >&2
    screen >&2
    exit 1
}

keys() { tmux -L "$socket" send-keys -t walk "$@"; }

begin() {
    tmux -L "$socket" kill-server 2>/dev/null || true
    # A server that is going down takes a new session with it, so each begins on its own.
    servers=$((servers + 1))
    socket="faultwalk-walk-$$-$servers"
    tmux -L "$socket" new-session -d -s walk -x "${size%x*}" -y "${size#*x}" \
        "env HOME='$work/$size' LC_ALL=C.UTF-8 '$program' --trees '$trees'; printf '\r\nended\n'; sleep 60"
}

for size in 80x24 120x40 40x20; do
    mkdir -p "$work/$size"
    begin
    sees 'What is wrong with the car?'
    keys -l 'goes lean on hills'; sees 'Understood'
    keys Enter; sees 'Which car?'
    keys Enter; sees 'The car'
    keys g; sees 'Where it is'
    keys g; sees '1 of 2'
    keys Enter; sees 'press Y'
    keys y; sees '2 of 2'
    sleep 0.8
    keys y; sees 'no smell, no leak'
    keys 1 Enter; sees 'Fuel under pressure.'
    keys y; sees 'Fit the pressure gauge.'
    keys Enter; sees 'supply pressure'
    keys C-p; sees 'Fuel under pressure.'
    keys y; sees 'Fit the pressure gauge.'
    keys Enter; sees 'supply pressure'
    keys -l '20 V'; keys Enter; sees "expected a pressure"
    keys BSpace; keys -l 'psi'; sees 'low by'

    # Killed with a half-typed reading; it is still there afterwards.
    sleep 1.2
    pkill_target=$(tmux -L "$socket" list-panes -t walk -F '#{pane_pid}')
    kill -9 "$(pgrep -P "$pkill_target" | head -n 1)"
    sees 'ended'
    begin
    sees 'Go on with'
    keys Down; sees '> Go on with'
    keys Enter; sees '> 20 psi'
    keys Enter; sees 'filter by eye'
    keys C-x; sees 'never as passed'
    keys Escape; sees 'filter by eye'
    keys 2 Enter; sees 'The feed filter lets too little through.'
    keys 1 Enter; sees 'Fuel runs out of an open line.'
    keys y; sees 'repair is done'
    keys Enter; sees 'After what was mended'; sees '1 of 2'
    sleep 0.8
    keys y; sees '2 of 2'
    sleep 0.8
    keys y; sees 'no smell, no leak'
    keys 1 Enter; sees 'Prove the repair'
    keys -l '36 psi'; keys Enter; sees 'gauge off'
    keys Enter; sees 'before closing'; sees 'Try it once more'
    keys c; sees 'Closed'
    keys Enter; sees 'Report'
    keys Escape; sees 'Closed'
    keys C-c; sees 'Leave?'
    keys Enter; sees 'ended'
    echo "$size: walked"
done
