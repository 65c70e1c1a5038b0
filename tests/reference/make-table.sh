#!/bin/sh
# Makes operating-points.csv: ngspice's answers at every operating point of operating-points.txt, and
# to the decks written by hand. Run from anywhere; needs ngspice, cargo, awk and sed.
set -eu
cd "$(dirname "$0")"
version=$(ngspice --version | sed -n 's/^\*\* \(ngspice-[0-9.]*\).*/\1/p' | head -n 1)
cargo build --quiet --manifest-path ../../Cargo.toml --package groundside
program="${CARGO_TARGET_DIR:-../../target}/debug/groundside"
deck=$(mktemp)
table=$(mktemp)
trap 'rm -f "$deck" "$table"' EXIT

# The lines `node = volts` of the first answer; branch currents and inner nodes x1, x2.. are left out.
answers() {
    ngspice -b "$2" 2>/dev/null | awk -v deck="$1" '
        /^No. of Data Rows/ { seen += 1 }
        seen == 1 && NF == 3 && $2 == "=" && $1 !~ /#branch$/ && $1 !~ /^x[0-9]+$/ {
            name = $1
            sub(/^v\(/, "", name); sub(/\)$/, "", name)
            print deck "," name "," $3
        }'
}

{
    echo "# Node potentials in volts over the battery's negative post, by $version."
    echo "# Made by tests/reference/make-table.sh: \`groundside netlist van-case-ground ARGUMENTS > DECK\`, \`ngspice -b DECK\`;"
    echo "# for hand-*.cir \`ngspice -b\` alone. Nodes are numbered as in the deck's own comments."
    echo "deck,node,volts"
    for file in hand-*.cir; do
        answers "${file%.cir}" "$file"
    done
    sed '/^#/d' operating-points.txt | while read -r name arguments; do
        # The arguments hold no spaces of their own: points are written with a dot.
        # shellcheck disable=SC2086
        "$program" netlist van-case-ground $arguments > "$deck"
        answers "$name" "$deck"
    done
} > "$table"
cp "$table" operating-points.csv
